"""A dict that never changes."""

from typing import Any, NoReturn, TypeVar

K = TypeVar("K")
V = TypeVar("V")


class FrozenDict(dict[K, V]):
    """A dict that never changes, so that what holds one can be hashed; `dict(it)` and `it | other` give a plain one."""

    __slots__ = ()

    def _refuse(self, *given: Any, **named: Any) -> NoReturn:
        raise TypeError("this mapping never changes; change a copy of it: dict(mapping)")

    __setitem__ = __delitem__ = __ior__ = clear = pop = popitem = setdefault = update = _refuse

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(frozenset(self.items()))  # in whatever order, as they compare

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (dict(self),)
