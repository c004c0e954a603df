"""A link between a phone and the server that cuts, truncates and delays connections, each as chance has it."""

import asyncio
import contextlib
import random
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PIECE = 2048
FATES = ("whole", "whole", "slow", "request cut", "answer cut", "refused")


class RoughLink:
    """Passes connections at ``port`` on to ``to_port``. ``fates`` counts what became of them. ``smooth``: no faults.

    ``choices``: fates, drawn evenly; a request is cut within ``cut_within`` bytes. ``rate``: bytes a second and way of
    each connection; None: as fast as it goes. ``taken``: bytes that were taken in from phones, also those lost then.
    ``passes`` is called for every piece before it goes on; while ``held`` is true, nothing comes back from the server.
    """

    def __init__(self, to_port: int, seed: int, choices=FATES, cut_within: int = 6000, rate: float | None = None):
        self.to_port = to_port
        self.choices = choices
        self.cut_within = cut_within
        self.rate = rate
        self.taken = 0
        self.chance = random.Random(seed)
        self.fates: Counter[str] = Counter()
        self.smooth = False
        self.passes: Callable[[], None] = lambda: None
        self.held = False
        self.port = 0
        self.tasks: set[asyncio.Task] = set()

    async def accept(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        task = asyncio.current_task()
        self.tasks.add(task)
        fate = "whole" if self.smooth else self.chance.choice(self.choices)
        self.fates[fate] += 1
        try:
            if fate != "refused":
                await self._connect(fate, reader, writer)
        finally:
            writer.transport.abort()  # at once, whatever is still on the way
            self.tasks.discard(task)

    async def _connect(self, fate, reader, writer) -> None:
        try:
            from_server, to_server = await asyncio.open_connection("127.0.0.1", self.to_port)
        except OSError:  # the server is down
            self.fates["no server"] += 1
            return
        try:
            up = self._carry(reader, to_server, fate, self._limit(fate == "request cut", self.cut_within))
            down = self._carry(from_server, writer, fate, self._limit(fate == "answer cut", 1500), down=True)
            ways = {asyncio.create_task(up), asyncio.create_task(down)}
            _, other = await asyncio.wait(ways, return_when=asyncio.FIRST_COMPLETED)
            for task in other:
                task.cancel()
            await asyncio.wait(ways)
        finally:
            to_server.transport.abort()

    def _limit(self, cut: bool, most: int) -> float:
        return self.chance.randint(0, most) if cut else float("inf")

    async def _carry(self, reader, writer, fate, left, down=False) -> None:
        with contextlib.suppress(OSError):
            while left > 0 and (piece := await reader.read(PIECE)):
                if fate == "slow":
                    await asyncio.sleep(self.chance.uniform(0.005, 0.05))
                if self.rate:
                    await asyncio.sleep(len(piece) / self.rate)
                self.taken += 0 if down else len(piece)
                self.passes()
                while down and self.held:
                    await asyncio.sleep(0.002)
                writer.write(piece[: int(min(left, PIECE))])
                await writer.drain()
                left -= len(piece)


@contextmanager
def opened(link: RoughLink) -> Iterator[RoughLink]:
    """The link, working in a thread of its own until the end of the block."""
    # All of the loop is in that thread: another may be at work in this one.
    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=loop.run_forever)
    thread.start()

    def inside(work):
        return asyncio.run_coroutine_threadsafe(work, loop).result(20)

    async def take_down() -> None:
        server.close()
        for task in list(link.tasks):
            task.cancel()
        await asyncio.gather(*link.tasks, return_exceptions=True)

    server = inside(asyncio.start_server(link.accept, "127.0.0.1", 0))
    link.port = server.sockets[0].getsockname()[1]
    try:
        yield link
    finally:
        inside(take_down())
        loop.call_soon_threadsafe(loop.stop)
        thread.join()
        loop.close()
