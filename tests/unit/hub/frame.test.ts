/** Frames as RFC 6455 prints them (section 5.7: unmasked text, 256 bytes and 64 KiB of binary). */
import { describe, expect, it } from 'vitest';
import { blockFrame, textFrame } from '../../../daemon/sinks/hub-frame.ts';

describe('frames', () => {
  it('a short text is the example of RFC 6455, section 5.7', () => {
    expect(textFrame('Hello').toString('hex')).toBe('810548656c6c6f');
  });

  it('256 bytes of text have the length of the example: 7E 0100', () => {
    const frame = textFrame('a'.repeat(256));
    expect(frame.subarray(0, 4).toString('hex')).toBe('817e0100');
    expect(frame.length).toBe(260);
  });

  it('65536 bytes have the length of the example: 7F 0000000000010000', () => {
    const frame = textFrame('a'.repeat(65_536));
    expect(frame.subarray(0, 10).toString('hex')).toBe('817f0000000000010000');
    expect(frame.length).toBe(65_546);
  });

  it('counts bytes of UTF-8, not characters', () => {
    expect(textFrame('°').toString('hex')).toBe('8102c2b0');
  });

  it('a block is a binary message of its own length', () => {
    const columns = [Float64Array.of(1)];
    const block = { index: 0, n: 1, rate_Hz: 1, arrival_ms: 0, afterGap: false, columns };
    const frame = blockFrame(block);
    expect(frame[0]).toBe(0x82);
    expect(frame[1]).toBe(36);
    expect(frame.length).toBe(38);
  });
});
