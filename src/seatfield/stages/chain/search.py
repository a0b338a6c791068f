"""The best way of a sound to an amplifier, exactly: over all paths, forms and settings."""

import heapq
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import count
from typing import NamedTuple

from seatfield.stages.chain.network import Hop, Network
from seatfield.stages.chain.sound import Sound, Worth, worth

State = tuple[str, Sound]


@dataclass(frozen=True, slots=True)
class Route:
    """One way of one sound.

    Parameters
    ----------
    start
        The sound as it is offered.
    hops
        The links, from the source on; empty where the source is the amplifier.
    end
        What the amplifier makes of it.
    worth
        How good that is.
    """

    start: Sound
    hops: tuple[Hop, ...]
    end: Sound
    worth: Worth


@dataclass(frozen=True, slots=True)
class _Move:
    conversions: int
    hop: Hop
    state: State


class _Falling:
    """A worth that sorts the best first."""

    __slots__ = ("worth",)

    def __init__(self, found: Worth) -> None:
        self.worth = found

    def __lt__(self, other: "_Falling") -> bool:
        return self.worth > other.worth


class _Entry(NamedTuple):
    """A way begun, ordered by the best that can become of it, then by age."""

    bound: _Falling
    age: int
    conversions: int
    start: Sound
    state: State
    hops: tuple[Hop, ...]


class Solver:
    """Finds best routes in one network; the work is shared by all services.

    A state is a device and the sound that arrives there. The best worth that any walk gives from each state is
    computed once, backwards from the amplifiers; walks may pass a device twice, so it bounds the simple paths from
    above, and a best-first search with that bound finds the best simple path.
    """

    def __init__(self, network: Network, starts: Iterable[State]) -> None:
        """Explore all states that sound can be in.

        Parameters
        ----------
        network
            Devices, amplifiers and links.
        starts
            Each device with each sound that a service offers on it.
        """
        self._network = network
        self._moves: dict[State, tuple[_Move, ...]] = {}
        self._ends: dict[State, Sound] = {}
        self._explore(starts)
        self._bound = self._backwards()

    def best(self, source: str, offers: Iterable[Sound]) -> Route | None:
        """Return the best route of a service on a device; None where nothing arrives.

        Parameters
        ----------
        source
            The device.
        offers
            The sounds that the service offers there; they must be among the starts.
        """
        order = count()
        states = [(source, sound) for sound in offers if (source, sound) in self._bound]
        heap = [_Entry(_Falling(self._bound[state]), next(order), 0, state[1], state, ()) for state in states]
        heapq.heapify(heap)
        while heap:
            _, _, conversions, start, state, hops = heapq.heappop(heap)
            if state in self._ends:
                end = self._ends[state]
                return Route(start, hops, end, worth(end, conversions, len(hops)))
            passed = {source, *(hop.target for hop in hops)}
            for move in self._moves[state]:
                bound = self._bound.get(move.state)
                if bound is None or move.state[0] in passed:
                    continue
                total, path = conversions + move.conversions, (*hops, move.hop)
                key = _Falling(bound.after(total, len(path)))
                heapq.heappush(heap, _Entry(key, next(order), total, start, move.state, path))
        return None

    def _explore(self, starts: Iterable[State]) -> None:
        waiting = list(dict.fromkeys(starts))
        while waiting:
            state = waiting.pop()
            if state in self._moves:
                continue
            name, sound = state
            if name in self._network.amplifiers:
                end = self._network.played(name, sound)
                self._moves[state] = ()
                if end is not None:
                    self._ends[state] = end
                continue
            self._moves[state] = tuple(self._steps(name, sound))
            waiting += [move.state for move in self._moves[state]]

    def _steps(self, name: str, sound: Sound) -> Iterable[_Move]:
        for hop in self._network.leaving.get(name, ()):
            for output in self._network.outputs(name, sound):
                arriving = hop.carry(output.sound)
                if arriving is not None:
                    folded = output.conversions or int(arriving != output.sound)
                    yield _Move(folded, hop, (hop.target, arriving))

    def _backwards(self) -> dict[State, Worth]:
        before: dict[State, list[tuple[State, int]]] = {}
        for state, moves in self._moves.items():
            for move in moves:
                before.setdefault(move.state, []).append((state, move.conversions))
        order = count()
        heap = [(_Falling(worth(end)), next(order), state) for state, end in self._ends.items()]
        heapq.heapify(heap)
        bound: dict[State, Worth] = {}
        while heap:
            key, _, state = heapq.heappop(heap)
            if state in bound:
                continue
            bound[state] = key.worth
            for earlier, conversions in before.get(state, ()):
                if earlier not in bound:
                    heapq.heappush(heap, (_Falling(key.worth.after(conversions, 1)), next(order), earlier))
        return bound
