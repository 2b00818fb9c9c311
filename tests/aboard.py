"""Who sits in a cage made by hand."""

from dataclasses import replace

from cagewright.plan.types import PersonEntry
from cagewright.shape.types import Belts, Cage, Person, Seating


def aboard(
    driver: PersonEntry | None = None,
    codriver: PersonEntry | None = None,
    *,
    belts: Belts | None = None,
    seat: Seating | None = None,
) -> tuple[Person, ...]:
    """The driver, with belts and seat where given, and a codriver beside where there is one."""
    people = []
    if driver or belts or seat:
        people.append(Person(name="driver", body=driver, belts=belts, seat=seat))
    if codriver:
        people.append(Person(name="codriver", body=codriver))
    return tuple(people)


def changed(cage: Cage, **changes) -> Cage:
    """The cage with that of its driver changed: body, belts or seat."""
    return replace(cage, people=(replace(cage.people[0], **changes), *cage.people[1:]))
