"""Prints the newest torque ten times a second: python3 live.py 127.0.0.1 4870. Standard library only."""
import base64, json, os, socket, struct, sys, time

host, port = sys.argv[1], int(sys.argv[2])
stream = socket.create_connection((host, port)).makefile("rwb")
key = base64.b64encode(os.urandom(16)).decode()
stream.write(f"GET /live HTTP/1.1\r\nHost: {host}:{port}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
             f"Sec-WebSocket-Key: {key}\r\nSec-WebSocket-Version: 13\r\n\r\n".encode())
stream.flush()
while stream.readline().strip():
    pass
columns, last = [], 0.0
while True:
    kind, length = stream.read(2)
    if length > 125:
        length = int.from_bytes(stream.read(2 if length == 126 else 8), "big")
    data = stream.read(length)
    if kind == 0x89:  # ping: answer pong, masked as RFC 6455 wants it from a client (mask 0)
        stream.write(bytes([0x8A, 0x80 | length, 0, 0, 0, 0]) + data)
        stream.flush()
    elif kind == 0x81 and json.loads(data)["type"] == "state":
        columns = [column["name"] for column in json.loads(data)["state"]["columns"]]
    elif kind == 0x82:
        n, step, index, rate_Hz = struct.unpack_from("<HHdd", data, 4)
        torque_Nm = struct.unpack_from(f"<{n}f", data, 32 + 4 * n * columns.index("torque_Nm"))
        if time.monotonic() - last > 0.1:
            last = time.monotonic()
            print(f"{index / rate_Hz:.3f} s  {torque_Nm[-1]:.2f} Nm", flush=True)
