import { fork } from 'node:child_process';
const SELF = '/work/main/tests/bench/fan-out.ts';
const once = (c: any, q?: string) =>
  new Promise<any>((r) => {
    c.once('message', r);
    if (q) c.send(q);
  });
const ways = process.argv.slice(2);
const res: any = {};
for (let round = 0; round < 4; round++)
  for (const way of ways) {
    const server = fork(SELF, ['server', way], { execArgv: ['--import', 'tsx'] });
    const { port } = await once(server);
    const clients = fork(SELF, ['clients', way, String(port), '300'], {
      execArgv: ['--import', 'tsx'],
    });
    await once(clients);
    await new Promise((r) => setTimeout(r, 1500));
    const a = await once(server, 'cost');
    await new Promise((r) => setTimeout(r, 4000));
    const b = await once(server, 'cost');
    (res[way] ??= []).push((b.cpu_us - a.cpu_us) / 40000);
    clients.disconnect();
    server.disconnect();
  }
for (const w of ways)
  console.log(
    w,
    res[w]
      .sort((x: number, y: number) => x - y)
      .map((x: number) => x.toFixed(2))
      .join(' '),
  );
