/**
 * Who may speak to the station. Binding to this machine alone does not keep web pages out: any page in
 * the browser can reach a local port, so Host (against re-bound names) and Origin are checked too.
 */
import type { IncomingHttpHeaders } from 'node:http';
import { isIP } from 'node:net';

export interface GuardOptions {
  /** Names and addresses the station answers to, without port. */
  readonly hosts: readonly string[];
  readonly port: number;
  /** Development: pages from any port of this machine may call, also through a proxy. */
  readonly isOpen: boolean;
}

const LOOPBACK_HOSTS = ['localhost', '127.0.0.1', '[::1]'];

/** Hosts to answer to when bound to `host`; others of this machine only when bound to all. */
export function allowedHosts(host: string, addresses: readonly string[]): string[] {
  const isWild = host === '0.0.0.0' || host === '::';
  return [...LOOPBACK_HOSTS, ...(isWild ? addresses : [host]).map(inUrl)];
}

export function inUrl(host: string): string {
  return isIP(host) === 6 ? `[${host}]` : host.toLowerCase();
}

/** Null when the request may pass, else why not, in words. */
export function refusal(headers: IncomingHttpHeaders, options: GuardOptions): string | null {
  const host = headers.host ?? '';
  if (!isOurs(host, options)) return 'This station does not answer to that host name.';
  const { origin } = headers;
  if (origin !== undefined && !isOurOrigin(origin, host, options)) {
    return 'Requests from pages of other origins are refused.';
  }
  if (origin === undefined && headers['sec-fetch-site'] === 'cross-site') {
    const isNavigation = headers['sec-fetch-mode'] === 'navigate';
    if (!isNavigation) return 'Requests from pages of other sites are refused.';
  }
  return null;
}

function isOurs(host: string, { hosts, port, isOpen }: GuardOptions): boolean {
  const [, name = '', given = '80'] = /^(\[[0-9a-f:.]+\]|[^:[\]]+)(?::(\d+))?$/i.exec(host) ?? [];
  return hosts.includes(name.toLowerCase()) && (isOpen || Number(given) === port);
}

function isOurOrigin(origin: string, host: string, { isOpen }: GuardOptions): boolean {
  if (origin.toLowerCase() === `http://${host.toLowerCase()}`) return true;
  const [, name = ''] = /^http:\/\/(\[::1\]|[^:/]+)(?::\d+)?$/.exec(origin) ?? [];
  return isOpen && LOOPBACK_HOSTS.includes(name);
}
