/** Reads what a PDF of the browser says: pages, their size in points and the text that can be selected. */
import { readFileSync } from 'node:fs';
import { inflateSync } from 'node:zlib';

/** By ISO 32000: objects `n 0 obj`, streams by FlateDecode, glyphs to text by each font's ToUnicode map. */
export function readPdf(path: string): { pages: number; size: string; text: string } {
  const objects = new Map<string, string>();
  const bytes = readFileSync(path).toString('latin1');
  for (const [, id = '', body = ''] of bytes.matchAll(/(\d+) 0 obj\b([\s\S]*?)\bendobj/g)) {
    objects.set(id, body);
  }
  const pages = [...objects.values()].filter((body) => /\/Type \/Page\b(?!s)/.test(body));
  const text = pages.map((page) => textOf(page, objects)).join('\n');
  const [, box = ''] = /\/MediaBox \[([^\]]+)\]/.exec(pages[0] ?? '') ?? [];
  const [left = 0, bottom = 0, right = 0, top = 0] = box.trim().split(/\s+/).map(Number);
  const size = `${Math.round(right - left)} x ${Math.round(top - bottom)}`;
  return { pages: pages.length, size, text };
}

function streamOf(body: string): string {
  const start = /stream\r?\n/.exec(body);
  if (!start) return '';
  const data = body.slice(start.index + start[0].length, body.lastIndexOf('endstream'));
  const raw = Buffer.from(data, 'latin1');
  return body.includes('/FlateDecode') ? inflateSync(raw).toString('latin1') : data;
}

function textOf(page: string, objects: ReadonlyMap<string, string>): string {
  const own = (reference: string | undefined) => objects.get(reference ?? '') ?? '';
  const resources = own(/\/Resources (\d+) 0 R/.exec(page)?.[1]) || page;
  const maps = new Map<string, Map<string, string>>();
  for (const [, name = '', id] of resources.matchAll(/\/(F\d+) (\d+) 0 R/g)) {
    const unicode = /\/ToUnicode (\d+) 0 R/.exec(own(id))?.[1];
    maps.set(name, glyphsOf(streamOf(own(unicode))));
  }
  const content = streamOf(own(/\/Contents (\d+) 0 R/.exec(page)?.[1]));
  let glyphs = new Map<string, string>();
  let text = '';
  const tokens = /\/(F\d+) [\d.]+ Tf|<([0-9A-Fa-f]+)>|\b(ET)\b/g;
  for (const [, font, hex, end] of content.matchAll(tokens)) {
    if (font !== undefined) glyphs = maps.get(font) ?? glyphs;
    if (end !== undefined) text += '\n';
    // Fonts of drawn glyphs have codes of one byte, all others of two.
    const [[name] = ['']] = glyphs;
    const codes = hex?.match(name.length === 2 ? /../g : /.{4}/g) ?? [];
    for (const glyph of codes) text += glyphs.get(glyph.toUpperCase()) ?? '';
  }
  return text;
}

/** `bfchar` names one glyph, `bfrange` a run of them. */
function glyphsOf(map: string): Map<string, string> {
  const glyphs = new Map<string, string>();
  for (const [, section = ''] of map.matchAll(/beginbfchar([\s\S]*?)endbfchar/g)) {
    for (const [, glyph = '', code = ''] of section.matchAll(/<(\w+)>\s*<(\w+)>/g)) {
      glyphs.set(glyph.toUpperCase(), characters(code));
    }
  }
  for (const [, section = ''] of map.matchAll(/beginbfrange([\s\S]*?)endbfrange/g)) {
    for (const [, from = '', to = '', code = ''] of section.matchAll(
      /<(\w+)>\s*<(\w+)>\s*<(\w+)>/g,
    )) {
      const first = parseInt(from, 16);
      for (let glyph = first; glyph <= parseInt(to, 16); glyph += 1) {
        const name = glyph.toString(16).toUpperCase().padStart(from.length, '0');
        glyphs.set(name, String.fromCodePoint(parseInt(code, 16) + glyph - first));
      }
    }
  }
  return glyphs;
}

function characters(hex: string): string {
  return (hex.match(/.{4}/g) ?? []).map((unit) => String.fromCharCode(parseInt(unit, 16))).join('');
}
