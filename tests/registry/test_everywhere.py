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
