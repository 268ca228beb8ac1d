/** Which view the address names; every view and every span of time has an address of its own. */

class Route {
  path = $state(location.pathname);
  query = $state.raw(new URLSearchParams(location.search));

  constructor() {
    window.addEventListener('popstate', () => this.read());
    document.addEventListener('click', (event) => this.follow(event));
  }

  /** A new entry in the browser's history. */
  go(address: string): void {
    history.pushState(null, '', address);
    this.read();
    window.scrollTo(0, 0);
  }

  /** The same entry with a changed query: zooming must not fill the history. */
  amend(query: Readonly<Record<string, string>>): void {
    const search = new URLSearchParams(query).toString();
    history.replaceState(null, '', search === '' ? location.pathname : `?${search}`);
    this.read();
  }

  private read(): void {
    this.path = location.pathname;
    this.query = new URLSearchParams(location.search);
  }

  /** Plain clicks on our own links stay in the page; all others are the browser's. */
  private follow(event: MouseEvent): void {
    const isPlain = event.button === 0 && !(event.metaKey || event.ctrlKey || event.shiftKey);
    const link = event.target instanceof Element ? event.target.closest('a[href]') : null;
    if (event.defaultPrevented || !isPlain || !(link instanceof HTMLAnchorElement)) return;
    const isOurs = link.origin === location.origin && !link.pathname.startsWith('/api');
    if (!isOurs || link.target !== '' || link.hasAttribute('download')) return;
    event.preventDefault();
    this.go(link.pathname + link.search);
  }
}

export const route = new Route();
