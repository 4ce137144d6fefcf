"""Variables for an outside solver, and what is said of them again and again."""

from ortools.sat.python import cp_model


class Variables:
    """A model that is being written."""

    def __init__(self):
        self.m = cp_model.CpModel()

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

    def at_least(self, *lower):
        """A variable of 0 or 1, not below any of the expressions."""
        var = self.bool()
        for expression in lower:
            self.m.add(var >= expression)
        return var

    def at_most(self, *upper):
        """A variable of 0 or 1, not above any of the expressions."""
        var = self.bool()
        for expression in upper:
            self.m.add(var <= expression)
        return var

    def total(self, literals: list):
        """A variable equal to a sum that is 0 or 1."""
        if len(literals) == 1:
            return literals[0]
        var = self.bool()
        self.m.add(var == sum(literals))
        return var
