"""What the fingers pay from one posture to the next, as constraints: the second
table of section 5 of docs/model.md, but for what stands in
`left_hand_shifts.py` and `left_hand_joins.py`.
"""

from itertools import product

from left_hand_physics import FINGERS, on
from left_hand_question import Question
from left_hand_shifts import ShiftingHand


def _strings(barre: tuple) -> int:
    """Strings that a barre lays, by its edge without those that it lifts."""
    _, thin, thick, side, edge = barre
    return (edge if side == "thick" else thick) - (edge if side == "thin" else thin) + 1


class MovingHand(ShiftingHand):
    """A hand with the price of its moves."""

    def __init__(self, question: Question):
        super().__init__(question)
        self._lone = {}
        for k in self.layers:
            if question.begins_anew(k):
                self._barre_lay_anew(k)
                continue
            for finger in FINGERS:
                self._comes_down(k, finger)
                self._slide(k, finger)
            self._lead_stay(k)
            self._barre_lay(k)
            self._barre_hold(k)
            self._hinge(k)
            self._melody(k)
            self._replace(k)
            self._weak_pair(k)
            self._leap(k)
            self._exchange(k)

    def few(self, k: int) -> bool:
        return len(self.q.struck[k]) < 3

    def _comes_down(self, k: int, finger: int) -> None:
        """`land` and `jump`. A finger at one and the same place in both
        postures is on a string of both, or under a barre that spans both."""
        pace, strikes = self.q.hurry(k - 1, k), self.strikes[k, finger]
        if not self.few(k) or not strikes:
            return
        down, stays = self.down_at[k - 1, finger], self.stays[k - 1, finger]
        same, left = [], []
        for string in self.q.instrument.open:
            there = on(strikes, string)
            for kind, found in ((down, same), (stays, left)):
                if there and on(kind, string):
                    found.append(self.at_most(sum(on(kind, string)), sum(there)))
        # A barre lies over what finger 1 is to strike.
        laid = self.laid[k - 1] if finger == 1 else {}
        for at, literals in strikes.items():
            if literals and laid.get(at):
                left.append(self.at_most(sum(laid[at]), sum(literals)))
        striking = self.striking[k, finger]
        land = self.at_least(striking - sum(same) - sum(left))
        self.charge(self.value("land") * pace, land)
        if down:
            spanned = self._spanned(k) if finger == 1 else []
            was = self.down[k - 1, finger]
            jump = self.at_least(was + striking - 1 - sum(same) - sum(spanned))
            self.charge(self.value("jump") * pace, jump)
            self._jump_bass(k, finger, jump)

    def _jump_bass(self, k: int, finger: int, jump) -> None:
        """The finger that jumps plays the bass."""
        bass = self.q.bass_note(k)
        if bass is None:
            return
        plays = sum(var for at, var in self.place[bass].items() if at[2] == finger)
        self.charge(
            self.value("jump_bass") * self.q.hurry(k - 1, k), self.at_least(jump + plays - 1)
        )

    def _covers(self, k: int) -> dict:
        """By string and fret, barres that span it."""
        covers = {}
        for (fret, thin, thick, _, _), var in self.barres[k].items():
            for string in range(thin, thick + 1):
                covers.setdefault((string, fret), []).append(var)
        return covers

    def _spanned(self, k: int) -> list:
        """Whether finger 1 is at one fret in both postures, and a barre of one
        of them spans a string it is on and one it strikes."""
        found = []
        before, after = self.down_at[k - 1, 1], self.strikes[k, 1]
        # The other one it is on lies under the barre, as all that it stops.
        for layer, places in ((k - 1, after), (k, before)):
            for at, covers in self._covers(layer).items():
                if places.get(at):
                    found.append(self.at_most(sum(covers), sum(places[at])))
        return found

    def _slide(self, k: int, finger: int) -> None:
        """Finger on a string in both postures at different frets, the hand
        staying where it is; but not for a glissando from what it stops."""
        slides = []
        down = self.down_at[k - 1, finger]
        for n in self.q.struck[k]:
            gliding = self._stopping_what_glides(k, n, finger)
            for (string, fret, striking), var in self.place[n].items():
                if striking != finger:
                    continue
                others = [one for at in down if at[1] != fret for one in on({at: down[at]}, string)]
                if others:
                    slides.append(var + sum(others) + self.still[k] - 2 - gliding)
        if slides:
            self.charge(self.value("slide") * self.q.hurry(k - 1, k), self.at_least(*slides))

    def _lead_stay(self, k: int) -> None:
        """Finger 1 above its own fret, above I, the hand staying where it is."""
        for (fret, q), var in self.strikes_in[k, 1].items():
            if q > 1 and fret == q + 1:
                self.charge(self.value("lead_stay"), self.at_least(var + self.still[k] - 1))

    def _stopping_what_glides(self, k: int, n: int, finger: int):
        """Whether a finger stops, before layer k, the sound from which another
        glides."""
        joined = self.q.sounds[n].joined
        if joined is None or joined[1] != "glissando":
            return 0
        first = joined[0]
        if (first, k - 1) not in self.act or self.q.sounds[first].kind == "natural":
            return 0
        return sum(var for at, var in self.act[first, k - 1].items() if at[2] == finger)

    def _barre_lay(self, k: int) -> None:
        """Strings of a barre on which finger 1 was not at its fret; one of them
        is free if there are no others."""
        barres = list(self.barres[k].values())
        if not barres:
            return
        covered, found = self._covers(k - 1), []
        for at, covers in self._covers(k).items():
            there = covered.get(at, []) + self._single(k - 1, at)
            if there:
                found.append(self.at_most(sum(covers), sum(there)))
        some = self.at_least(*found) if found else 0
        strings = sum(
            (thick - thin + 1) * var for (_, thin, thick, *_), var in self.barres[k].items()
        )
        most = len(self.q.instrument.open) + 1
        laid = self.m.new_int_var(0, most, "")
        tip = self._from_its_tip(k, sum(barres))
        self.m.add(laid >= strings - sum(found) - sum(barres) + some + tip)
        self.charge(self.value("barre_lay"), laid)
        held = [
            var
            for n in self.q.alive(k)
            if self.q.sounds[n].layer < k
            for at, var in self.act[n, k].items()
            if at[2] > 1
        ]
        if held:
            again = self.m.new_int_var(0, most, "")
            holds = self.any_of(held)
            self.m.add(again >= laid - most * (1 - holds))
            self.charge(self.value("barre_lay"), again)

    def _barre_lay_anew(self, k: int) -> None:
        """From an empty hand all strings of the span are new, and one is free."""
        for barre, var in self.barres[k].items():
            self.charge(self.value("barre_lay") * (barre[2] - barre[1]), var)
            self.charge(self.value("barre_hold") * (_strings(barre) - 1), var)

    def _from_its_tip(self, k: int, barred):
        """Whether finger 1 has to be laid flat on what it stops already."""
        kept = [
            var
            for n in self.q.alive(k)
            if self.q.sounds[n].layer < k
            for at, var in self.act[n, k].items()
            if at[2] == 1
        ]
        if not kept:
            return 0
        before = sum(self.barres[k - 1].values())
        return self.at_least(*(var + barred - 1 - before for var in kept))

    def _barre_hold(self, k: int) -> None:
        """Strings laid beyond the first; of a barre that lay in the same bar those
        laid besides."""
        barres = self.barres[k]
        if not barres:
            return
        by_fret = {}
        for barre, var in barres.items():
            by_fret.setdefault(barre[0], []).append(var)
        paid = 0
        if self.q.one_bar(k - 1, k):
            for barre, var in self.barres[k - 1].items():
                if barre[0] in by_fret:
                    lies_on = self.at_most(var, sum(by_fret[barre[0]]))
                    paid += (_strings(barre) - 1) * lies_on
        held = self.m.new_int_var(0, len(self.q.instrument.open), "")
        wanted = sum((_strings(barre) - 1) * var for barre, var in barres.items())
        self.m.add(held >= wanted - paid)
        self.charge(self.value("barre_hold"), held)

    def _melody(self, k: int) -> None:
        """`twice`, and `crossed` of two melody notes running."""
        running = self.q.sung_on(k)
        if running is None:
            return
        twice, crossed = [], {}
        first, second = (self.place[n] for n in running)
        for (was, var), (at, other) in product(first.items(), second.items()):
            if not was[2] or not at[2] or was[0] == at[0]:
                continue
            pair = var + other - 1
            if was[2] == at[2]:
                lying = was[1] == at[1] and at[2] == 1
                twice.append(pair - (self._over_both(k, at[1], was[0], at[0]) if lying else 0))
                continue
            low, high = sorted([was, at], key=lambda one: one[2])
            if (low[1], -low[0]) > (high[1], -high[0]):
                free = self._barred(k - 1, was[2]) + self._barred(k, at[2])
                free += sum(on(self.down_at[k, was[2]], was[0]))
                passes = pair + self.still[k] - 1 - free
                crossed.setdefault(abs(was[0] - at[0]), []).append(passes)
        if twice:
            self.charge(self.value("twice") * self.q.hurry(k - 1, k), self.at_least(*twice))
        for strings, pairs in crossed.items():
            self.charge(self.value("crossed") * strings, self.at_least(*pairs))

    def _barred(self, k: int, finger: int):
        return sum(self.barres[k].values()) if finger == 1 else 0

    def _over_both(self, k: int, fret: int, one: int, other: int):
        """Barres before or after that span two strings at a fret."""
        return sum(
            var
            for layer in (k - 1, k)
            for barre, var in self.barres[layer].items()
            if barre[0] == fret and barre[1] <= min(one, other) and barre[2] >= max(one, other)
        )

    def _single(self, k: int, at: tuple[int, int]) -> list:
        """Finger 1 down or staying at a place without a barre."""
        return self.down_places(k, 1).get(at, []) + self.stays[k, 1].get(at, [])

    def _hinge(self, k: int) -> None:
        before, after = self._sides(k - 1), self._sides(k)
        changes = [
            sum(before[fret, side]) + sum(after[fret, other]) - 1
            for fret, side in before
            for to, other in after
            if to == fret and other != side
        ]
        if changes:
            self.charge(self.value("hinge"), self.at_least(*changes))

    def _sides(self, k: int) -> dict:
        """Barres by fret and lifted side."""
        found = {}
        for (fret, _, _, side, _), var in self.barres[k].items():
            found.setdefault((fret, side), []).append(var)
        return found

    def _replace(self, k: int) -> None:
        places = {at for finger in FINGERS for at in self.strikes[k, finger]}
        for place in places:
            replaced = []
            for finger in FINGERS:
                was = self.down_at[k - 1, finger].get(place, [])
                others = [
                    one
                    for other in FINGERS
                    if other != finger
                    for one in self.strikes[k, other].get(place, [])
                ]
                if was and others:
                    replaced.append(sum(was) + sum(others) - 1)
            if replaced:
                var = self.at_least(*replaced)
                self.charge(self.value("replace") * self.q.hurry(k - 1, k), var)
                if self.few(k):
                    # The hand staying where it is.
                    exchanged = self.at_least(var + self.still[k] - 1)
                    self.charge(self.value("exchange"), exchanged)

    def _weak_pair(self, k: int) -> None:
        lone = self._placed_alone(k - 1) + self._placed_alone(k)
        pairs = [
            self.striking[k - 1, first] + self.striking[k, second] + lone - 3
            for first, second in ((3, 4), (4, 3))
        ]
        var = self.at_least(*pairs)
        self.charge(self.value("weak_pair") * self.q.hurry(k - 1, k), var)

    def _placed_alone(self, k: int):
        """Whether just one of the sounds struck at a layer is placed."""
        placed = sum(self.out[n].negated() for n in self.q.struck[k])
        if self.q.lone(k):
            return placed
        if k not in self._lone:
            lone, none, more = self.bool(), self.bool(), self.bool()
            self.m.add_exactly_one(lone, none, more)
            self.m.add(placed == 1).only_enforce_if(lone)
            self.m.add(placed == 0).only_enforce_if(none)
            self.m.add(placed >= 2).only_enforce_if(more)
            self._lone[k] = lone
        return self._lone[k]

    def _leap(self, k: int) -> None:
        q = self.q
        if k < 2 or q.begins_anew(k - 1) or not q.lone(k - 2) or not self.few(k):
            return
        pace = q.hurry(k - 2, k)
        [n] = q.struck[k - 2]
        leaps = []
        for (string, _, finger), var in self.place[n].items():
            if finger and self.strikes[k, finger]:
                same = on(self.strikes[k, finger], string)
                # Under a barre there may be others on other strings.
                there = self.striking[k, finger] - self.down[k - 1, finger]
                leaps.append(var + there - sum(same) - 1)
        if pace > 1 and leaps:
            self.charge(self.value("leap") * (pace - 1), self.at_least(*leaps))

    def _exchange(self, k: int) -> None:
        """A note of the melody that comes again, by another finger at its place."""
        q = self.q
        first = q.returns().get(k)
        if first is None:
            return
        exchanges = []
        for was, var in self.place[q.melody_note(first)].items():
            for now, other in self.place[q.melody_note(k)].items():
                finger = was[2]
                if was[:2] != now[:2] or not finger or not now[2] or finger == now[2]:
                    continue
                # Down in none of the layers between but at the place, nor in the last.
                busy = [self.down[k - 1, finger]]
                # A finger on the string slides there.
                busy.append(self.any_of(on(self.down_at[k - 1, now[2]], now[0])))
                for j in range(first + 1, k - 1):
                    there = self.down_at[j, finger].get(was[:2], [])
                    busy += [self.down[j, finger] - self.any_of(there)]
                exchanges.append(var + other - 1 - sum(busy))
        if exchanges:
            self.charge(self.value("exchange"), self.at_least(*exchanges))
