/** Light or dark: as the system says, until a person says otherwise on this screen. */

export type ThemeChoice = 'system' | 'light' | 'dark';
export type Theme = 'light' | 'dark' | 'subject';

const KEY = 'momentarm-theme';

class ThemeState {
  choice = $state<ThemeChoice>('system');
  /** What is on the screen now; canvases read their inks anew when it changes. */
  shown = $state<Theme>('light');
  private readonly isSystemDark = window.matchMedia('(prefers-color-scheme: dark)');
  private isSubject = false;

  constructor() {
    const kept = readKept();
    if (kept === 'light' || kept === 'dark') this.choice = kept;
    this.isSystemDark.addEventListener('change', () => this.apply());
    this.apply();
  }

  choose(choice: ThemeChoice): void {
    this.choice = choice;
    try {
      localStorage.setItem(KEY, choice);
    } catch {
      // A browser that keeps nothing still shows the theme until the page is closed.
    }
    this.apply();
  }

  /** From what is shown to the other one. */
  turn(): void {
    this.choose(this.shown === 'dark' ? 'light' : 'dark');
  }

  /** The subject's screen has one theme of its own. */
  forSubject(isSubject: boolean): void {
    this.isSubject = isSubject;
    this.apply();
  }

  private apply(): void {
    const system = this.isSystemDark.matches ? 'dark' : 'light';
    const wanted = this.choice === 'system' ? system : this.choice;
    this.shown = this.isSubject ? 'subject' : wanted;
    document.documentElement.dataset['theme'] = this.shown;
  }
}

function readKept(): string | null {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}

export const theme = new ThemeState();
