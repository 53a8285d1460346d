"""What stands in all enclosures at once is what each of them says when asked by itself."""

from datetime import timedelta
from random import Random

import pytest

from registry.everywhere import standing_everywhere, standing_in
from registry.models import Enclosure
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
ON = make.DAY


@pytest.mark.parametrize("seed", range(4))
def test_all_enclosures_at_once_say_what_each_says_alone(seed):
    """Kin, rivals, strangers, held ones and some who come only later, put together at random."""
    random = Random(seed)
    rooms = [make.enclosure(room_for=random.randrange(1, 5)) for _ in range(6)]
    places = [make.locality("Grey Mill"), make.locality("Alder Ford")]
    older = [
        make.animal(sex=random.choice(["male", "female", None]), locality=random.choice(places))
        for _ in range(8)
    ]
    young = [make.animal(locality=random.choice(places)) for _ in range(8)]
    for one in young:
        make.parent(one, "sire", random.choice(older[:4]))
        make.parent(one, "dam", random.choice(older[4:]))
    for one in older + young:
        start = ON + random.choice([-30, -1, 0, 0, 1, 20]) * timedelta(days=1)
        make.stay(one, random.choice(rooms), start=start)
    for _ in range(random.randrange(3)):
        qmake.newcomer(make._next("new"), random.choice(rooms))
    alone = [told for room in Enclosure.objects.order_by("code") for told in standing_in(room, ON)]
    together = standing_everywhere(ON)
    assert together == alone
    assert together


def test_many_rooms_looked_at_together_say_the_same_of_kin_as_each_alone():
    """More animals than kinship is worked out for at once, rooms of more than that among them."""
    random = Random(9)
    founders = [make.animal(sex=sex) for sex in ("male", "female") * 3]
    rooms = [make.enclosure(f"R{n:02}", room_for=50) for n in range(12)]
    for n in range(100):
        young = make.animal(f"Y{n:03}", sex=random.choice(["male", "female"]))
        make.parent(young, "sire", *random.sample(founders[::2], 2))
        make.parent(young, "dam", random.choice(founders[1::2]))
        make.stay(young, rooms[0] if n < 45 else random.choice(rooms[1:]))
    alone = [told for room in Enclosure.objects.order_by("code") for told in standing_in(room, ON)]
    assert standing_everywhere(ON) == alone
    assert sum(told.objection.rule == "young_would_not_be_inbred" for told in alone) > 8
