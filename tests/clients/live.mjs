// Prints the newest torque ten times a second: node live.mjs http://127.0.0.1:4870/
import WebSocket from 'ws'; // built in: browsers, Node 22 and later

let columns = [];
let newest = NaN;
const socket = new WebSocket(new URL('live', process.argv[2]).href.replace('http', 'ws'));
socket.binaryType = 'arraybuffer';
socket.onmessage = ({ data }) => {
  if (typeof data === 'string') {
    const event = JSON.parse(data);
    if (event.type === 'state') columns = event.state.columns.map((column) => column.name);
    return;
  }
  const view = new DataView(data);
  const n = view.getUint16(4, true);
  const values = new Float32Array(data, 32);
  newest = values[columns.indexOf('torque_Nm') * n + n - 1];
  socket.send(JSON.stringify({ ack: view.getFloat64(8, true) })); // optional: see the README
};
setInterval(() => console.log(newest.toFixed(2)), 100);
