"""Keys larger than the database can hold: no row has one, so the database is not asked for it.

Django sees to that where one number is compared with a column; it does not where one of several is
meant, or a foreign key. Whatever form, filter or address a number was typed into comes by here.
"""

from django.core.exceptions import EmptyResultSet
from django.db.models import ForeignKey, IntegerField
from django.db.models.fields.related_lookups import RelatedExact, RelatedIn
from django.db.models.lookups import In


def _fits(lookup, connection):
    """Return whether a value can stand in the column that a lookup asks about."""
    field = lookup.lhs.output_field
    field = getattr(field, "target_field", field)
    least, most = connection.ops.integer_field_range(field.get_internal_type())

    def fits(value):
        if not isinstance(value, int):
            return True
        return (least is None or value >= least) and (most is None or value <= most)

    return fits


def _leave_out(lookup, connection):
    if lookup.rhs_is_direct_value() and hasattr(lookup.rhs, "__iter__"):
        lookup.rhs = list(filter(_fits(lookup, connection), lookup.rhs))


@IntegerField.register_lookup
class AmongNumbers(In):
    """A column is one of several numbers."""

    def process_rhs(self, compiler, connection):
        """Leave out those that no row can have."""
        _leave_out(self, connection)
        return super().process_rhs(compiler, connection)


@ForeignKey.register_lookup
class AmongKeys(RelatedIn):
    """A foreign key is one of several."""

    def process_rhs(self, compiler, connection):
        """Leave out those that no row can have."""
        _leave_out(self, connection)
        return super().process_rhs(compiler, connection)


@ForeignKey.register_lookup
class IsKey(RelatedExact):
    """A foreign key is this one."""

    def process_rhs(self, compiler, connection):
        """Find nothing where no row can have it."""
        if self.rhs_is_direct_value() and not _fits(self, connection)(self.rhs):
            raise EmptyResultSet
        return super().process_rhs(compiler, connection)
