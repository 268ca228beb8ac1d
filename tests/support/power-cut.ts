/**
 * What a disk may hold after the power went, from the system calls that a process made. Certain is only
 * what was synced: a page of a later write may be there or not, in any order, and so may a name.
 */

/** One call, by the places of its begin and end in the trace. */
interface Call {
  readonly name: string;
  readonly begin: number;
  readonly end: number;
  readonly args: readonly string[];
  readonly result: number;
}

interface FileWrite {
  readonly begin: number;
  readonly end: number;
  readonly position: number;
  readonly bytes: Buffer;
}

/** A file or folder by its number, whatever its name. */
interface Node {
  readonly isFolder: boolean;
  readonly writes: FileWrite[];
  /** Syncs of it that have ended. */
  readonly syncs: { readonly begin: number; readonly end: number }[];
}

/** A name that was given or taken away in a folder. */
interface NameChange {
  readonly begin: number;
  readonly end: number;
  readonly folder: string;
  readonly path: string;
  /** Null when the name was taken away. */
  readonly node: Node | null;
}

export interface Traced {
  readonly length: number;
  readonly names: readonly NameChange[];
  readonly folders: ReadonlyMap<string, Node>;
  /** What the process printed, by the place in the trace where it began to. */
  readonly printed: readonly { readonly begin: number; readonly text: string }[];
}

const PAGE = 4096;

/** The output of `strace -f -xx -s 1000000`; only what lies below `root` is looked at. */
export function readTrace(text: string, root: string): Traced {
  const byFd = new Map<number, { node: Node; position: number }>();
  const nodes = new Map<string, Node>();
  const folders = new Map<string, Node>();
  const names: NameChange[] = [];
  const printed: { begin: number; text: string }[] = [];
  const isBelow = (path: string) => path === root || path.startsWith(`${root}/`);
  const change = (call: Call, path: string, node: Node | null) => {
    const folder = path.slice(0, path.lastIndexOf('/'));
    names.push({ begin: call.begin, end: call.end, folder, path, node });
  };
  const made = (isFolder: boolean): Node => ({ isFolder, writes: [], syncs: [] });
  const calls = callsIn(text);
  for (const call of calls) {
    const [first = '', second = '', third = '', fourth = ''] = call.args;
    const file = byFd.get(Number(first));
    if (call.result < 0) continue;
    switch (call.name) {
      case 'mkdir': {
        const path = stringOf(first);
        if (!isBelow(path)) break;
        const node = made(true);
        folders.set(path, node);
        change(call, path, node);
        break;
      }
      case 'openat': {
        const path = stringOf(second);
        byFd.delete(call.result);
        if (!isBelow(path)) break;
        if (third.includes('O_CREAT')) {
          nodes.set(path, made(false));
          change(call, path, nodes.get(path) ?? null);
        } else if (!nodes.has(path) && !folders.has(path)) folders.set(path, made(true));
        const node = nodes.get(path) ?? folders.get(path);
        if (node !== undefined) byFd.set(call.result, { node, position: 0 });
        break;
      }
      case 'close':
        byFd.delete(Number(first));
        break;
      case 'write':
        if (first === '1') printed.push({ begin: call.begin, text: bytesOf(second).toString() });
        if (file === undefined) break;
        file.node.writes.push({ ...call, position: file.position, bytes: bytesOf(second) });
        file.position += call.result;
        break;
      case 'pwrite64':
        file?.node.writes.push({ ...call, position: Number(fourth), bytes: bytesOf(second) });
        break;
      case 'fsync':
      case 'fdatasync':
        file?.node.syncs.push(call);
        break;
      case 'rename': {
        const [from, to] = [stringOf(first), stringOf(second)];
        const node = nodes.get(from);
        if (node === undefined) break;
        nodes.delete(from);
        nodes.set(to, node);
        change(call, from, null);
        change(call, to, node);
        break;
      }
      case 'unlink': {
        const path = stringOf(first);
        if (nodes.delete(path)) change(call, path, null);
        break;
      }
    }
  }
  return { length: calls.length, names, folders, printed };
}

/** A possible state of the disk when the power goes at place `cut`: every file with its bytes. */
export function diskAfter(traced: Traced, cut: number, random: () => number): Map<string, Buffer> {
  const present = new Map<string, Node>();
  for (const name of traced.names) {
    if (name.begin >= cut) break;
    const syncs = traced.folders.get(name.folder)?.syncs ?? [];
    const isCertain = syncs.some(({ begin, end }) => begin > name.end && end < cut);
    if (!isCertain && random() < 0.5) continue;
    if (name.node === null) present.delete(name.path);
    else present.set(name.path, name.node);
  }
  const files = new Map<string, Buffer>();
  for (const [path, node] of present) {
    if (!node.isFolder && hasFolders(path, present, traced)) {
      files.set(path, contentAfter(node, cut, random));
    }
  }
  return files;
}

/** A file is only there when every folder above it that the process made is. */
function hasFolders(path: string, present: ReadonlyMap<string, Node>, traced: Traced): boolean {
  return traced.names.every(
    ({ path: folder, node }) =>
      node?.isFolder !== true || !path.startsWith(`${folder}/`) || present.has(folder),
  );
}

function contentAfter(node: Node, cut: number, random: () => number): Buffer {
  const done = node.syncs.filter(({ end }) => end < cut);
  const isCertain = (write: FileWrite) => done.some(({ begin }) => begin > write.end);
  const begun = node.writes.filter(({ begin }) => begin < cut);
  const endOf = ({ position, bytes }: FileWrite) => position + bytes.length;
  const certainSize = Math.max(0, ...begun.filter(isCertain).map(endOf));
  const open = begun.filter((write) => !isCertain(write));
  const grown = open[Math.floor(random() * (open.length + 1))];
  const content = Buffer.alloc(Math.max(certainSize, grown === undefined ? 0 : endOf(grown)));
  for (const write of begun) {
    const isSure = isCertain(write);
    for (let at = write.position; at < endOf(write);) {
      const to = Math.min((Math.floor(at / PAGE) + 1) * PAGE, endOf(write));
      if (isSure || random() < 0.5) {
        write.bytes.copy(content, at, at - write.position, to - write.position);
      }
      at = to;
    }
  }
  return content;
}

/** Calls in the order of their ends; a call that was interrupted in the trace is put together. */
function callsIn(text: string): Call[] {
  const unfinished = new Map<string, { begin: number; head: string }>();
  const calls: Call[] = [];
  text.split('\n').forEach((line, place) => {
    const [, thread = '', rest = ''] = /^(\d+)\s+(.*)$/.exec(line) ?? [];
    if (rest.endsWith('<unfinished ...>')) {
      unfinished.set(thread, { begin: place, head: rest.slice(0, -'<unfinished ...>'.length) });
      return;
    }
    const resumed = /^<\.\.\. \w+ resumed>(.*)$/.exec(rest);
    const before = resumed === null ? undefined : unfinished.get(thread);
    const whole = before === undefined ? rest : before.head + (resumed?.[1] ?? '');
    const parts = /^(\w+)\((.*)\)\s+= (-?\d+)/.exec(whole);
    if (parts === null) return;
    const [, name = '', args = '', result = ''] = parts;
    const begin = before?.begin ?? place;
    calls.push({ name, begin, end: place, args: args.split(', '), result: Number(result) });
  });
  return calls;
}

function bytesOf(quoted: string): Buffer {
  return Buffer.from(quoted.replaceAll('"', '').replaceAll('\\x', ''), 'hex');
}

function stringOf(quoted: string): string {
  return bytesOf(quoted).toString();
}
