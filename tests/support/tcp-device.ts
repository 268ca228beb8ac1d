/**
 * A device on a TCP port that prints lines of text, one sample a millisecond, as a test tells it to:
 * a torque, an angle, silence, or a jump of its clock.
 */
import { createServer, type Server, type Socket } from 'node:net';
import type { AddressInfo } from 'node:net';

const EVERY_MS = 20;
const SAMPLES = 20;

export class TcpDevice {
  torque_Nm = 0;
  angle_deg = 0;
  /** Wall clock of the last bytes written, milliseconds. */
  lastWrite_ms = 0;
  private isSilent = false;
  private time_ms = 0;
  private readonly server: Server;
  private readonly sockets = new Set<Socket>();
  private readonly timer: NodeJS.Timeout;

  private constructor() {
    this.server = createServer((socket) => {
      socket.setNoDelay(true);
      socket.write('time_ms,torque_Nm,angle_deg\n');
      this.sockets.add(socket);
      socket.on('error', () => socket.destroy());
      socket.on('close', () => this.sockets.delete(socket));
    });
    this.timer = setInterval(() => this.print(), EVERY_MS);
  }

  static async open(): Promise<TcpDevice> {
    const device = new TcpDevice();
    await new Promise<void>((resolve) => device.server.listen(0, '127.0.0.1', resolve));
    return device;
  }

  get url(): string {
    const { port } = this.server.address() as AddressInfo;
    return `tcp://127.0.0.1:${port}?format=lines`;
  }

  /** Stops printing; the clock of the device goes on. */
  silence(): void {
    this.isSilent = true;
  }

  speak(): void {
    this.isSilent = false;
  }

  /** Loses so many samples. */
  lose(n: number): void {
    this.time_ms += n;
  }

  async close(): Promise<void> {
    clearInterval(this.timer);
    for (const socket of this.sockets) socket.destroy();
    await new Promise((resolve) => this.server.close(resolve));
  }

  private print(): void {
    const first = this.time_ms;
    this.time_ms += SAMPLES;
    if (this.isSilent) return;
    const { torque_Nm, angle_deg } = this;
    const lines = Array.from(
      { length: SAMPLES },
      (_, k) => `${first + k},${torque_Nm.toFixed(2)},${angle_deg.toFixed(2)}\n`,
    ).join('');
    for (const socket of this.sockets) socket.write(lines);
    this.lastWrite_ms = Date.now();
  }
}
