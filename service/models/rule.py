"""The form of one rule: a limit stored as data, in a published code or in a club's own list.

A rule compares one quantity with one limit. The limit is a number, or a `Term`: part of another quantity, a
row of a table, the larger or smaller of several, or one of two by a condition. Which names of quantities,
tables, zones and units exist is the business of the codes; here only the form is checked.
"""

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StringConstraints, model_validator

from service.models.finding import Kind, Record, Source, Statistic, Text, Weight

RuleId = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Scalar = StrictBool | Number | str


class Term(Record):
    """One way to arrive at a limit. Exactly one of the kinds below is given.

    value           a number, in `unit` or else in the rule's unit
    of              another quantity, times `times`
    table           the `column` of the row that the table's own key falls in, times `times`
    larger_of       the largest of several terms; unknown when any of them is
    smaller_of      the smallest of several terms; unknown when any of them is
    if/then/else    one of two terms, by a condition
    case_by_case    no figure is published; a named person has to decide
    """

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, serialize_by_alias=True)

    value: Number | None = None
    unit: str | None = None
    times: Number = 1.0
    of: str | None = None
    table: str | None = None
    column: str | None = None
    larger_of: tuple["Limit", ...] | None = None
    smaller_of: tuple["Limit", ...] | None = None
    when: "Condition | None" = Field(None, alias="if")
    then: "Limit | None" = None
    otherwise: "Limit | None" = Field(None, alias="else")
    case_by_case: StrictBool | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> "Term":
        kinds = {"value": self.value, "of": self.of, "table": self.table, "larger_of": self.larger_of,
                 "smaller_of": self.smaller_of, "if": self.when, "case_by_case": self.case_by_case}
        given = [name for name, content in kinds.items() if content is not None]
        if len(given) != 1:
            raise ValueError(f"a limit is given in one way, found {' and '.join(given) or 'none'}; "
                             f"use one of {', '.join(kinds)}")
        if given == ["if"] and (self.then is None or self.otherwise is None):
            raise ValueError("a limit with 'if' also needs 'then' and 'else'")
        if given == ["table"] and self.column is None:
            raise ValueError("a limit from a table also needs 'column'")
        if given[0] in ("larger_of", "smaller_of") and not (self.larger_of or self.smaller_of):
            raise ValueError(f"'{given[0]}' needs at least one limit")
        return self

    def parts(self) -> Iterator["Term"]:
        """This term and every term inside it."""
        yield self
        for inner in (*(self.larger_of or ()), *(self.smaller_of or ()), self.then, self.otherwise):
            if isinstance(inner, Term):
                yield from inner.parts()
        if self.when is not None:
            for condition in self.when.parts():
                yield from condition.terms()


class Band(Record):
    """Bounds on one quantity; a bound may be a number in the quantity's own unit, or a term."""

    over: "Limit | None" = None
    at_least: "Limit | None" = None
    up_to: "Limit | None" = None
    below: "Limit | None" = None

    @model_validator(mode="after")
    def _has_a_bound(self) -> "Band":
        if all(bound is None for bound in (self.over, self.at_least, self.up_to, self.below)):
            raise ValueError("give at least one of over, at_least, up_to, below")
        return self


class Condition(BaseModel):
    """A test on facts: every named quantity has to match, and `all`, `any` and `none` combine further tests.

    A quantity matches a value, one of a list of values, or a band: {"impulse_ns": {"over": 80, "up_to": 160}}.
    """

    model_config = ConfigDict(frozen=True, extra="allow")
    __pydantic_extra__: dict[str, Scalar | tuple[Scalar, ...] | Band]

    all: tuple["Condition", ...] = ()
    any: tuple["Condition", ...] = ()
    none: tuple["Condition", ...] = ()

    @property
    def tests(self) -> dict[str, Scalar | tuple[Scalar, ...] | Band]:
        """Quantity -> what it has to match."""
        return self.__pydantic_extra__ or {}

    def parts(self) -> Iterator["Condition"]:
        """This condition and every condition inside it."""
        yield self
        for inner in (*self.all, *self.any, *self.none):
            yield from inner.parts()

    def terms(self) -> Iterator[Term]:
        """The terms that stand as bounds in this condition's own tests."""
        for test in self.tests.values():
            if isinstance(test, Band):
                for bound in (test.over, test.at_least, test.up_to, test.below):
                    if isinstance(bound, Term):
                        yield from bound.parts()


Limit = Number | Term


class Rule(Record):
    """One rule, as a code or a club states it.

    A computed or measured rule holds `quantity` against `at_least`, `at_most` or both, or against `equals`, or
    asks for a whole condition with `requires`. Several limits in a list: the strictest counts. `met_by` is
    another way to meet the rule. An attested rule has no limit: `says` is what a person answers for, once a
    day or for each entry (`per`). `attested_if_missing` turns a rule into such an item when its quantity is not
    to be had. `authorisable` lets a person's word under the rule's id turn a stop or unknown into a caution.

    A `yardstick` may raise a caution and clears nothing: within it the rule says nothing at all.

    `adds_to` makes the limit a further floor (or ceiling) of another rule. `replaces` sets another rule aside;
    `reason` says why, and is needed wherever the replacement is not plainly the stricter.
    """

    id: RuleId
    protects: Text
    kind: Kind = "computed"
    weight: Weight = "club"
    source: Source | None = None
    says: str | None = None
    note: str = ""
    applies: Condition | None = None
    quantity: str | None = None
    zone: str | None = None
    statistic: Statistic = "nominal"
    unit: str | None = None
    at_least: tuple[Limit, ...] | None = None
    at_most: tuple[Limit, ...] | None = None
    equals: Scalar | None = None
    requires: Condition | None = None
    met_by: Condition | None = None
    when_broken: Literal["stop", "caution"] | None = None
    yardstick: bool = False
    authorisable: bool = False
    approver: str | None = None
    per: Literal["day", "entry"] | None = None
    attested_if_missing: bool = False
    adds_to: str | None = None
    replaces: str | None = None
    reason: str | None = None

    @model_validator(mode="before")
    @classmethod
    def _single_limit_is_a_list_of_one(cls, data: object) -> object:
        if isinstance(data, dict):
            data = dict(data)
            for name in ("at_least", "at_most"):
                if name in data and data[name] is not None and not isinstance(data[name], list | tuple):
                    data[name] = (data[name],)
        return data

    @model_validator(mode="after")
    def _is_a_whole_rule(self) -> "Rule":
        bounds = self.at_least is not None or self.at_most is not None
        ways = [name for name, given in (("at_least/at_most", bounds), ("equals", self.equals is not None),
                                         ("requires", self.requires is not None)) if given]
        if self.kind == "attested":
            if ways or self.quantity:
                found = ", ".join(ways) or "quantity"
                raise ValueError(f"an attested rule has no quantity and no limit, found {found}")
            if not self.says or self.per is None:
                raise ValueError("an attested rule needs 'says' (what a person answers for) and 'per' (day or entry)")
            return self
        if len(ways) != 1:
            raise ValueError(f"a {self.kind} rule is tested in one way, found {' and '.join(ways) or 'none'}; use "
                             "at_least and/or at_most, or equals, or requires")
        if self.quantity is None and self.requires is None:
            raise ValueError("a rule with a limit names the quantity that it limits")
        if self.at_least == () or self.at_most == ():
            raise ValueError("a list of limits needs at least one limit")
        if self.attested_if_missing and (not self.says or self.per is None or self.quantity is None):
            raise ValueError("attested_if_missing needs 'quantity', 'says' and 'per'")
        if self.statistic == "interval" and not bounds:
            raise ValueError("an interval is compared with at_least or at_most")
        if self.adds_to and not bounds:
            raise ValueError("a rule that adds to another has at_least or at_most")
        if self.yardstick and self.broken != "caution":
            raise ValueError("a yardstick cautions; when_broken is 'caution' (or the weight 'practice')")
        return self

    @property
    def broken(self) -> Literal["stop", "caution"]:
        """The standing when the rule is not met: practice cautions, everything else stops, unless said."""
        return self.when_broken or ("caution" if self.weight == "practice" else "stop")


for model in (Term, Band, Condition, Rule):
    model.model_rebuild()
