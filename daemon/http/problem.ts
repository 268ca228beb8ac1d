/** A request that cannot be answered, told in words as RFC 9457 describes: never a stack or a path. */
import { STATUS_CODES } from 'node:http';

export class Problem extends Error {
  override readonly name = 'Problem';
  readonly status: number;

  readonly #more: Readonly<Record<string, unknown>>;

  /** `more` joins the document: what a program can act on. */
  constructor(status: number, detail: string, more: Readonly<Record<string, unknown>> = {}) {
    super(detail);
    this.status = status;
    this.#more = more;
  }

  toJSON(): { type: string; title: string; status: number; detail: string } {
    const title = STATUS_CODES[this.status] ?? 'Trouble';
    return { ...this.#more, type: 'about:blank', title, status: this.status, detail: this.message };
  }
}
