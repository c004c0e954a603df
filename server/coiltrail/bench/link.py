"""A link of a given rate and delay between two programs of this machine, which counts what passes."""

import asyncio
import contextlib
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

PIECE = 8192  # bytes taken at once
BUFFERED_S = 0.05  # seconds of the link's time that wait before it, as in a modem


@dataclass
class Link:
    """``rate`` in bytes a second each way (None: as fast as it goes), ``delay_s`` in seconds one way."""

    to_port: int
    rate: float | None = None
    delay_s: float = 0.0
    port: int = 0
    passed: int = 0  # bytes, both ways
    _free_at: dict[str, float] = field(default_factory=lambda: {"up": 0.0, "down": 0.0})
    _ends: list[asyncio.StreamWriter] = field(default_factory=list)
    _running: set[asyncio.Task] = field(default_factory=set)

    async def _carry(self, way: str, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        """Take in while there is room before the link, send in turn, and hand on after the delay."""
        under_way: asyncio.Queue = asyncio.Queue()
        async with asyncio.TaskGroup() as group:
            group.create_task(_arrive(under_way, writer))
            with contextlib.suppress(OSError):  # the other end has gone
                while piece := await reader.read(PIECE):
                    self.passed += len(piece)
                    now = sent = time.monotonic()
                    if self.rate:
                        # All connections share the link, so each piece waits for those before it. The time is
                        # reckoned, not slept: a late wake-up takes nothing from the rate.
                        sent = self._free_at[way] = max(now, self._free_at[way]) + len(piece) / self.rate
                    under_way.put_nowait((sent + self.delay_s, piece))
                    await asyncio.sleep(sent - now - BUFFERED_S)
            under_way.put_nowait((time.monotonic() + self.delay_s, None))

    def _accept(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._ends.append(writer)
        self._running.add(asyncio.create_task(self._connect(reader, writer)))

    async def _connect(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        try:
            from_there, to_there = await asyncio.open_connection("127.0.0.1", self.to_port)
        except OSError:  # nobody listens
            writer.transport.abort()
            return
        self._ends.append(to_there)
        await asyncio.gather(self._carry("up", reader, to_there), self._carry("down", from_there, writer))
        writer.close()
        to_there.close()

    async def take_down(self) -> None:
        """Cut whatever is still connected."""
        for task in self._running:
            task.cancel()
        await asyncio.gather(*self._running, return_exceptions=True)
        for end in self._ends:
            end.transport.abort()


async def _arrive(under_way: asyncio.Queue, writer: asyncio.StreamWriter) -> None:
    with contextlib.suppress(OSError):  # the other end has gone
        while True:
            at, piece = await under_way.get()
            await asyncio.sleep(at - time.monotonic())
            if piece is None:
                writer.write_eof()
                return
            writer.write(piece)
            await writer.drain()


@contextmanager
def opened(link: Link) -> Iterator[Link]:
    """Carry connections to ``link.port`` on, in a thread of its own, until the end of the block."""
    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=loop.run_forever, daemon=True)
    thread.start()
    server = _in(loop, asyncio.start_server(link._accept, "127.0.0.1", 0))
    link.port = server.sockets[0].getsockname()[1]
    try:
        yield link
    finally:
        _in(loop, _end(link, server))
        loop.call_soon_threadsafe(loop.stop)
        thread.join()
        loop.close()


def _in(loop: asyncio.AbstractEventLoop, work):
    return asyncio.run_coroutine_threadsafe(work, loop).result()


async def _end(link: Link, server: asyncio.Server) -> None:
    server.close()
    await asyncio.sleep(0.01)  # a connection may just be on its way in
    await link.take_down()
    await asyncio.sleep(0.01)  # what is cut is closed in a later turn
