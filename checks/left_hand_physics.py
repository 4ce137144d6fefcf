"""What a left hand can be, as constraints: section 3 of docs/model.md (P1 to P6,
P8) and its moves (M1, M2), over placements, what is kept, positions and
barres. P7 stands with what is charged on it.
"""

from collections import defaultdict
from itertools import product

from left_hand_question import Question
from ortools.sat.python import cp_model

FINGERS = (1, 2, 3, 4)
POSITIONS = range(1, 25)
# Position of a hand that has not been down yet.
UNKNOWN = 0
# P7.
OUTWARDS = 3


class Hand:
    """Variables and constraints of every posture."""

    def __init__(self, question: Question):
        self.q = question
        self.m = cp_model.CpModel()
        self.layers = range(len(question.layers))
        # By sound: its placements, and whether it is left out.
        self.place, self.out = [], []
        # By sound and layer: whether it sounds, and by which placement.
        self.on, self.act = {}, {}
        # By layer and finger: places stopped, places of struck sounds, whether
        # the finger is down, whether it strikes, its fret.
        self.stops, self.strikes = {}, {}
        self.down, self.struck, self.at_fret = {}, {}, {}
        # By layer: barres, whether one lies, fret and string it spans.
        self.barres, self.barre, self.covers = {}, {}, {}
        # By layer: whether a finger is down, and the position.
        self.stopped, self.position = [], []
        self._placements()
        self._holding()
        for k in self.layers:
            self._fingers(k)
            self._barre(k)
            self._hand(k)
        self._positions()

    def bool(self, name: str = ""):
        return self.m.new_bool_var(name)

    def any_of(self, literals: list):
        """A variable that is true if one of the literals is, and only then."""
        if len(literals) == 1:
            return literals[0]
        var = self.bool()
        self.m.add_max_equality(var, literals or [0])
        return var

    def both(self, *literals):
        """A variable that is true just when all literals are."""
        var = self.bool()
        for literal in literals:
            self.m.add_implication(var, literal)
        self.m.add(var >= sum(literals) - len(literals) + 1)
        return var

    def at_least(self, lower):
        """A variable of 0 or 1, not below an expression."""
        var = self.bool()
        self.m.add(var >= lower)
        return var

    def _sum(self, literals: list):
        """A variable equal to a sum that is 0 or 1."""
        if len(literals) == 1:
            return literals[0]
        var = self.bool()
        self.m.add(var == sum(literals))
        return var

    def _placements(self) -> None:
        """P1, P3: each sound has one place and finger, for all its life (M1),
        or is left out."""
        for n, sound in enumerate(self.q.sounds):
            options = {}
            for string, fret in self.q.places(sound.key):
                for finger in FINGERS if fret else (0,):
                    options[string, fret, finger] = self.bool(f"place {n} {string} {finger}")
            out = self.bool(f"out {n}")
            self.m.add_exactly_one(out, *options.values())
            self.place.append(options)
            self.out.append(out)

    def _holding(self) -> None:
        """M2: a sound sounds from its onset until it is let go."""
        for n, sound in enumerate(self.q.sounds):
            for k in self.q.life(n):
                if k == sound.layer:
                    self.on[n, k] = self.out[n].negated()
                    self.act[n, k] = self.place[n]
                    continue
                on = self.on[n, k] = self.bool(f"kept {n} {k}")
                self.m.add_implication(on, self.on[n, k - 1])
                self.act[n, k] = {option: self.bool() for option in self.place[n]}
                for option, var in self.act[n, k].items():
                    self.m.add_implication(var, self.place[n][option])
                self.m.add(sum(self.act[n, k].values()) == on)

    def _fingers(self, k: int) -> None:
        """Where the fingers are, which of them strike: P2, P4, P5, P6."""
        strings = defaultdict(list)
        held, struck = defaultdict(list), defaultdict(list)
        for n in self.q.alive(k):
            for (string, fret, finger), var in self.act[n, k].items():
                strings[string].append(var)
                if finger:
                    held[finger, string, fret].append(var)
                    if self.q.sounds[n].layer == k:
                        struck[finger, string, fret].append(var)
        for literals in strings.values():
            self.m.add_at_most_one(literals)
        for finger in FINGERS:
            # Sums of literals of which at most one is true (P2).
            self.stops[k, finger] = {
                at[1:]: self._sum(literals) for at, literals in held.items() if at[0] == finger
            }
            self.strikes[k, finger] = {
                at[1:]: self._sum(literals) for at, literals in struck.items() if at[0] == finger
            }
            by_fret = defaultdict(list)
            for (_, fret), var in self.stops[k, finger].items():
                by_fret[fret].append(var)
            if finger > 1:
                self.m.add_at_most_one(self.stops[k, finger].values())
                frets = {fret: self._sum(literals) for fret, literals in by_fret.items()}
                self.struck[k, finger] = self._sum(list(self.strikes[k, finger].values()))
            else:
                frets = {fret: self.any_of(literals) for fret, literals in by_fret.items()}
                self.struck[k, finger] = self.any_of(list(self.strikes[k, finger].values()))
            self.m.add_at_most_one(frets.values())
            self.at_fret[k, finger] = frets
            self.down[k, finger] = self._sum(list(frets.values()))

    def _barre(self, k: int) -> None:
        """P4: where a barre may lie, and what it asks for."""
        struck = self.q.ends_of_barres(k)
        kept = [n for n in self.q.alive(k) if self.q.sounds[n].layer < k]
        stops = self.stops[k, 1]
        barres = {}
        for fret, thin, thick in product(self.at_fret[k, 1], self.q.open, self.q.open):
            if thin >= thick:
                continue
            asked = []
            for end in {self.q.open[thin] + fret, self.q.open[thick] + fret} - struck:
                asked.append([self.on[n, k] for n in kept if self.q.sounds[n].key == end])
            if not all(asked):
                continue
            barre = barres[fret, thin, thick] = self.bool(f"barre {k} {fret} {thin} {thick}")
            for literals in asked:
                self.m.add_bool_or(literals).only_enforce_if(barre)
            self.m.add_implication(barre, self.at_fret[k, 1][fret])
            for (string, _), var in stops.items():
                if not thin <= string <= thick:
                    self.m.add_implication(barre, var.negated())
            for n in self.q.alive(k):
                for (string, at, finger), var in self.act[n, k].items():
                    below = at < fret or (at == fret and finger != 1)
                    if thin <= string <= thick and below:
                        self.m.add_implication(barre, var.negated())
        self.m.add_at_most_one(barres.values())
        self.barres[k] = barres
        self.barre[k] = self._sum(list(barres.values()))
        # Two sounds on finger 1 need a barre.
        self.m.add(sum(stops.values()) <= 1).only_enforce_if(self.barre[k].negated())
        covers = defaultdict(list)
        for (fret, thin, thick), var in barres.items():
            for string in range(thin, thick + 1):
                covers[fret, string].append(var)
        self.covers[k] = {at: self._sum(literals) for at, literals in covers.items()}

    def _hand(self, k: int) -> None:
        """P5 and P6: every two fingers."""
        for a, b in product(FINGERS, FINGERS):
            if a >= b:
                continue
            reach = self.q.reach(a, b)
            for (at_a, var_a), (at_b, var_b) in product(
                self.stops[k, a].items(), self.stops[k, b].items()
            ):
                if at_a[0] == at_b[0]:
                    continue  # P2 already.
                dx = self.q.x(at_b[1]) - self.q.x(at_a[1])
                dy = self.q.y(*at_a) - self.q.y(*at_b)
                slant = 20 * (at_b[0] - at_a[0])
                free = at_a[1] <= at_b[1] and (dx + slant) ** 2 + dy**2 <= reach**2
                if a > 1:
                    if not free:
                        self.m.add_bool_or(var_a.negated(), var_b.negated())
                    continue
                under = at_a[1] < at_b[1] and dx**2 <= reach**2
                if not free:
                    self.m.add_bool_or(var_a.negated(), var_b.negated(), self.barre[k])
                if not under:
                    self.m.add_bool_or(var_a.negated(), var_b.negated(), self.barre[k].negated())

    def _positions(self) -> None:
        """P8, and the hand in the air."""
        for k in self.layers:
            stopped = self.any_of([self.down[k, finger] for finger in FINGERS])
            position = {p: self.bool(f"position {k} {p}") for p in (UNKNOWN, *POSITIONS)}
            self.m.add_exactly_one(position.values())
            self.m.add_implication(stopped, position[UNKNOWN].negated())
            before = self.position[-1] if k else {UNKNOWN: 1}
            for p, var in position.items():
                self.m.add(var == before.get(p, 0)).only_enforce_if(stopped.negated())
            self.stopped.append(stopped)
            self.position.append(position)

    def _in_position(self, frets: dict, finger: int, position: dict) -> dict:
        """A variable for a finger at a fret in each position it may be in."""
        joint = {}
        least, most = (-OUTWARDS, 1) if finger == 1 else (1 - finger, OUTWARDS)
        for fret, var in frets.items():
            here = [fret - offset - finger + 1 for offset in range(least, most + 1)]
            here = {p: self.bool() for p in here if p in POSITIONS}
            self.m.add(sum(here.values()) == var)
            for p, both in here.items():
                self.m.add_implication(both, position[p])
                joint[fret, p] = both
        return joint
