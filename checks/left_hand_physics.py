"""What the fingers of a left hand can do, as constraints: P1 to P6 and P11 of
docs/model.md, with M1 and M2, over placements, what is kept, ornaments, fingers
that stay, and barres. When a finger may stay stands in `left_hand_standing.py`.
"""

from collections import defaultdict
from itertools import combinations, product

import left_hand_taking_over
from left_hand_question import Question
from left_hand_seconds import may_take_over
from left_hand_variables import Variables

FINGERS = (1, 2, 3, 4)


def on(places: dict, string: int) -> list:
    """Literals of the places on a string."""
    return [one for at, literals in places.items() if at[0] == string for one in literals]


def every(places: dict) -> list:
    """Literals of all places."""
    return [one for literals in places.values() for one in literals]


class Hand(Variables):
    """Variables and constraints of the fingers in every posture."""

    def __init__(self, question: Question):
        super().__init__()
        self.q = question
        self.layers = range(len(question.layers))
        # By sound: its placements, whether it is left out, whether it is
        # ornamented.
        self.place, self.out, self.ornamented = [], [], {}
        # By sound and layer: whether it sounds, and by which placement.
        self.on, self.act = {}, {}
        # By sound and layer, where a sound may be taken over: kept by its own
        # finger, by another, and that changing on the move there.
        self.own_at, self.second_at, self.change = {}, {}, {}
        # By layer and finger, for each place a list of literals of which one
        # is true at most: stopped; struck; struck there, by stopping or
        # touching; bound; down in any way; staying; down or staying.
        self.stops, self.strikes, self.bound = {}, {}, {}
        self.down_at, self.stays, self.rests = {}, {}, {}
        # By layer: whether no finger is down; places of finger 1 without a
        # barre, barres, and those that lie over a place at their fret; what
        # they are to lie over.
        self.idle = [self.bool(f"idle {k}") for k in self.layers]
        self.alone, self.barres, self.laid = {}, {}, {}
        self._covered = defaultdict(list)
        self._placements()
        self._holding()
        for k in self.layers:
            self._ornaments(k)
            self._fingers(k)
            self._staying(k)
            self._barre(k)
            self._one_place(k)
            self._pairs(k)

    def _placements(self) -> None:
        """P1, P3: each sound has one place and finger, or is left out."""
        for n, _ in enumerate(self.q.sounds):
            options = {}
            for string, fret in self.q.places(n):
                for finger in FINGERS if fret else (0,):
                    options[string, fret, finger] = self.bool(f"place {n} {string} {finger}")
            out = self.bool(f"out {n}")
            self.m.add_exactly_one(out, *options.values())
            self.place.append(options)
            self.out.append(out)

    def _holding(self) -> None:
        """M1, M2: a sound sounds from its onset until it is let go."""
        for n, sound in enumerate(self.q.sounds):
            for k in self.q.life(n):
                if k == sound.layer:
                    self.on[n, k] = self.out[n].negated()
                    self.act[n, k] = self.place[n]
                    continue
                kept = self.on[n, k] = self.bool(f"kept {n} {k}")
                self.m.add_implication(kept, self.on[n, k - 1])
                if may_take_over(self.q, n):
                    self.act[n, k] = left_hand_taking_over.keep(self, n, k)
                    self.m.add(sum(self.act[n, k].values()) == kept)
                    continue
                ways = defaultdict(list)
                for at, var in self.place[n].items():
                    ways[(at[0], 0, 0) if sound.kind == "natural" else at].append(var)
                self.act[n, k] = {at: self.bool() for at in ways}
                for at, placed in ways.items():
                    self.m.add(self.act[n, k][at] <= sum(placed))
                self.m.add(sum(self.act[n, k].values()) == kept)
        for k in self.layers:
            strings = defaultdict(list)
            for n in self.q.alive(k):
                for (string, _, _), var in self.act[n, k].items():
                    strings[string].append(var)
            for literals in strings.values():
                self.m.add_at_most_one(literals)  # P2.

    def _ornaments(self, k: int) -> None:
        """P11."""
        for finger in FINGERS:
            self.bound[k, finger] = defaultdict(list)
        for n in self.q.struck[k]:
            sound = self.q.sounds[n]
            if not sound.auxiliaries or sound.kind != "plain":
                continue
            whole = []
            for string, open_key in self.q.instrument.open.items():
                placed = [var for at, var in self.place[n].items() if at[0] == string]
                frets = [key - open_key for key in sound.auxiliaries]
                if not placed or not all(0 <= fret <= self.q.instrument.frets for fret in frets):
                    continue
                here = self.at_most(sum(placed))
                whole.append(here)
                for fret in frets:
                    if fret == 0:
                        continue
                    fingers = {finger: self.bool() for finger in FINGERS}
                    covered = self.bool()
                    self._covered[k, string, fret].append(covered)
                    self.m.add(sum(fingers.values()) + covered == here)
                    for finger, var in fingers.items():
                        self.bound[k, finger][string, fret].append(var)
            self.ornamented[n] = sum(whole)

    def _fingers(self, k: int) -> None:
        """Where fingers stop, touch and strike."""
        stops, touches, strikes = (
            {finger: defaultdict(list) for finger in FINGERS} for _ in range(3)
        )
        for n in self.q.alive(k):
            for (string, fret, finger), var in self.act[n, k].items():
                if not finger:
                    continue
                if self.q.sounds[n].layer == k:
                    strikes[finger][string, fret].append(var)
                kind = touches if self.q.sounds[n].kind == "natural" else stops
                kind[finger][string, fret].append(var)
        for finger in FINGERS:
            self.stops[k, finger], self.strikes[k, finger] = stops[finger], strikes[finger]
            down = self.down_at[k, finger] = defaultdict(list)
            for kind in (stops[finger], touches[finger], self.bound[k, finger]):
                for at, literals in kind.items():
                    down[at] += literals

    def _staying(self, k: int) -> None:
        """Where fingers may stay: M3 and all of P9 but what has to do with the
        place of the hand; and not two at one place."""
        every_stay = []
        for finger in FINGERS:
            places = self.stays[k, finger] = {}
            begun = defaultdict(list)
            if not self.q.begins_anew(k):
                for kind in (self.stops, self.bound, self.stays):
                    for at, literals in kind[k - 1, finger].items():
                        begun[at] += literals
            prepared = self._prepared(k)
            for at in sorted(begun.keys() | prepared.keys()):
                stay = self.at_most(sum(begun.get(at, [])) + sum(prepared.get(at, [])))
                if self.q.instrument.key(*at) not in self.q.soon(k):
                    self.m.add(stay <= sum(self._guide(k, at)) + sum(prepared.get(at, [])))
                places[at] = [stay]
                every_stay.append(stay)
            rests = self.rests[k, finger] = defaultdict(list)
            for kind in (self.down_at, self.stays):
                for at, literals in kind[k, finger].items():
                    rests[at] += literals
        self.m.add(sum(every_stay) <= 2)
        for at in {at for finger in FINGERS for at in self.stays[k, finger]}:
            here = [one for f in FINGERS for one in self.stays[k, f].get(at, [])]
            self.m.add_at_most_one(here + self._in_the_way(k, at))

    def _on_string(self, k: int, string: int):
        """Sounds that may be on a string, with placements and literals."""
        return [
            (n, at, var)
            for n in self.q.alive(k)
            for at, var in self.act[n, k].items()
            if at[0] == string
        ]

    def _in_the_way(self, k: int, at: tuple[int, int]) -> list:
        """P9: what sounds on the string, but not stopped at a higher fret."""
        return [
            var
            for n, (_, fret, _), var in self._on_string(k, at[0])
            if fret <= at[1] or self.q.sounds[n].kind == "natural"
        ]

    def _guide(self, k: int, at: tuple[int, int]) -> list:
        """P9: what lets a finger stay as a guide: that none is down, or a sound
        stopped in front of it."""
        if k + 1 == len(self.q.layers):
            return []
        return [self.idle[k]] + [
            var
            for n, (_, fret, _), var in self._on_string(k, at[0])
            if fret > at[1] and self.q.sounds[n].kind != "natural"
        ]

    def _prepared(self, k: int) -> dict:
        """P9: by place, sounds stopped on its string from which a slur leads
        to the sound that it gives."""
        found = defaultdict(list)
        for n in self.q.alive(k):
            if self.q.sounds[n].kind == "natural":
                continue
            for m in self.q.pulled_off(n):
                for at in self.q.places(m):
                    for (string, fret, _), var in self.act[n, k].items():
                        if at[1] and fret and string == at[0]:
                            found[at].append(var)
        return found

    def _barre(self, k: int) -> None:
        """P4: where a barre may lie, and what it asks for. A hinge is told by
        its side and the outermost string on that side that finger 1 stops."""
        ends = self.q.ends_of_barres(k)
        kept = [n for n in self.q.alive(k) if self.q.sounds[n].layer < k]
        stops, guitar = self.stops[k, 1], self.q.instrument
        barres = self.barres[k] = {}
        laid = self.laid[k] = defaultdict(list)
        lifted = defaultdict(list)
        for fret in sorted({fret for _, fret in stops}):
            for thin, thick in combinations(sorted(guitar.open), 2):
                asked = []
                for end in {guitar.key(thin, fret), guitar.key(thick, fret)} - ends:
                    asked.append([self.on[n, k] for n in kept if self.q.sounds[n].key == end])
                if not all(asked):
                    continue
                for side, edge in _hinges(thin, thick):
                    stopped = self._stopped_under(stops, fret, thin, thick, edge)
                    up = _lifted(thin, thick, side, edge)
                    opened = [
                        var for s in up for _, at, var in self._on_string(k, s) if at[1] == 0
                    ]
                    if not stopped or (side and not opened):
                        continue
                    barre = barres[fret, thin, thick, side, edge] = self.bool()
                    self.m.add(barre <= sum(stopped))
                    if side:
                        self.m.add(barre <= sum(opened))
                    for literals in asked:
                        self.m.add(barre <= sum(literals))
                    for s in range(thin, thick + 1):
                        (lifted if s in up else laid)[s, fret].append(barre)
        for (s, fret), literals in laid.items():
            below = [
                var
                for n, at, var in self._on_string(k, s)
                if at[1] < fret
                or (at[1] == fret and at[2] != 1)
                or self.q.sounds[n].kind == "natural"
            ]
            self.m.add_at_most_one(literals + below)
        for (s, fret), literals in lifted.items():
            below = [var for _, at, var in self._on_string(k, s) if 0 < at[1] <= fret]
            self.m.add_at_most_one(literals + below)
        # P11: a barre gives what it lies over.
        for (layer, *at), covered in self._covered.items():
            for one in covered if layer == k else ():
                self.m.add(one <= sum(laid.get(tuple(at), [])))
        # Finger 1 stops what it stops alone or under a barre.
        self.alone[k] = {at: [self.at_most(sum(literals))] for at, literals in stops.items()}
        for (s, fret), literals in stops.items():
            self.m.add(sum(literals) <= self.alone[k][s, fret][0] + sum(laid.get((s, fret), [])))

    @staticmethod
    def _stopped_under(stops: dict, fret: int, thin: int, thick: int, edge: int) -> list:
        """What finger 1 must stop: a string of the span; on a hinge its edge."""
        strings = (edge,) if edge else range(thin, thick + 1)
        return [one for s in strings for one in stops.get((s, fret), [])]

    def _one_place(self, k: int) -> None:
        """P4: a finger is at one place, or finger 1 lies in a barre."""
        for finger in FINGERS:
            literals = every(self._places(k, finger))
            if finger == 1:
                literals = literals + list(self.barres[k].values())
            self.m.add_at_most_one(literals)

    def _places(self, k: int, finger: int) -> dict:
        """Literals of a finger down or staying, by place; of finger 1 without
        a barre."""
        places = self.down_places(k, finger)
        for at, literals in self.stays[k, finger].items():
            places[at] += literals
        return places

    def down_places(self, k: int, finger: int) -> dict:
        """The same of a finger that is down."""
        places = defaultdict(list)
        for at, literals in self.down_at[k, finger].items():
            places[at] += literals
        if finger == 1:
            for at, literals in self.stops[k, 1].items():
                # They come first in the list of all that is down there.
                others = places[at][len(literals) :]
                places[at] = self.alone[k][at] + others
        return places

    def _pairs(self, k: int) -> None:
        """P5 and P6: every two fingers. The literals of a finger exclude each
        other, so those of two that cannot be together do as well."""
        x = self.q.instrument.x
        for a, b in combinations(FINGERS, 2):
            left, right = self._places(k, a), self._places(k, b)
            reach = self.q.level["reach"][f"{a}-{b}"]
            for at, literals in left.items():
                far = [one for to in right if not self._free(at, to, reach) for one in right[to]]
                if far:
                    self.m.add_at_most_one(literals + far)
            barres = defaultdict(list)
            for at, var in self.barres[k].items() if a == 1 else ():
                barres[at[0]].append(var)
            for fret, literals in barres.items():
                far = [
                    one
                    for to in right
                    if to[1] <= fret or x(to[1]) - x(fret) > reach
                    for one in right[to]
                ]
                self.m.add_at_most_one(literals + far)
            # The same of frets alone, which the solver sees through sooner.
            for fret in {at[1] for at in right}:
                higher = [one for at in left if at[1] > fret for one in left[at]]
                higher += [one for at in barres if at >= fret for one in barres[at]]
                lower = [one for at in right if at[1] <= fret for one in right[at]]
                self.m.add_at_most_one(higher + lower)

    def _free(self, at_a, at_b, reach: int) -> bool:
        """Whether two fingers may be at two places, without a barre."""
        guitar = self.q.instrument
        dx = guitar.x(at_b[1]) - guitar.x(at_a[1])
        dy = guitar.y(*at_a) - guitar.y(*at_b)
        slant = 20 * (at_b[0] - at_a[0])
        return at_a[1] <= at_b[1] and at_a != at_b and (dx + slant) ** 2 + dy**2 <= reach**2


def _hinges(thin: int, thick: int) -> list[tuple[str | None, int]]:
    # Two strings at least are laid.
    return [(None, 0), *product(("thin", "thick"), range(thin + 1, thick))]


def _lifted(thin: int, thick: int, side: str | None, edge: int) -> range:
    if side == "thin":
        return range(thin, edge)
    return range(edge + 1, thick + 1) if side == "thick" else range(0)
