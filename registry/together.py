"""Several questions put to the database in one statement: quicker, and answers of one moment.

Each queryset becomes one column of a single row, its rows as JSON. From there Django makes of them
what it makes of any rows: models with what they select, values, named tuples.
"""

import copy
import json
from collections import defaultdict
from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import batched, chain

from django.core.exceptions import EmptyResultSet
from django.db import connection

FROM_JSON = {
    "DateField": date.fromisoformat,
    "DateTimeField": lambda text: _moment(datetime.fromisoformat(text)),
    "BooleanField": bool,
    "FloatField": float,
}
AS_JSON = {  # where JSON would round a number, or hold what Django wants as text
    ("sqlite", "FloatField"): "printf('%%!.17g', {})",
    ("postgresql", "JSONField"): "({})::text",
}
ARRAY = {"sqlite": "json_array({})", "postgresql": "json_build_array({})"}
ROWS = {
    "sqlite": "json_group_array(json_array({}))",
    "postgresql": "json_agg(json_build_array({}))::text",
}
MOST = 90  # values in one array: both databases take no more than a hundred


def fetch(*querysets):
    """Fetch the rows of querysets not fetched yet, in one statement, and return the querysets."""
    asked = [q for q in querysets if q._result_cache is None]
    questions = [found for q in asked if (found := _question(q))]
    if questions:
        answers = _answers([sql for _, _, sql, _ in questions], [p for *_, p in questions])
        for (queryset, compiler, *_), text in zip(questions, answers, strict=True):
            _fill(queryset, compiler, json.loads(text or "[]"))
    return querysets


def again(queryset):
    """Return a question that is always the same, to be asked anew: its statement is kept."""
    fresh = queryset.all()
    fresh.same_as = queryset
    return fresh


def share(rows, name, things):
    """Give rows what they name by a foreign key, one object for all rows that name the same."""
    if not rows:
        return
    field = rows.model._meta.get_field(name)
    known = {thing.pk: thing for thing in things}
    for row in rows:
        field.set_cached_value(row, known.get(getattr(row, field.attname)))


def attach(rows, name, parts):
    """Give rows of a model their parts by a reverse relation, as a prefetch would.

    The parts are fetched rows, those of one whole in their order.
    """
    if not rows:
        return
    relation = getattr(type(rows[0]), name).field
    found = defaultdict(list)
    for part in parts:
        found[getattr(part, relation.attname)].append(part)
    for row in rows:
        _hold(row, name, relation.model, found[row.pk])
        for part in found[row.pk]:
            relation.set_cached_value(part, row)


def attach_through(rows, name, links):
    """Give rows of a model what they hold many of, by fetched rows of the table in between."""
    if not rows:
        return
    field = rows.model._meta.get_field(name)
    mine, other = f"{field.m2m_field_name()}_id", field.m2m_reverse_field_name()
    found = defaultdict(list)
    for link in links:
        found[getattr(link, mine)].append(getattr(link, other))
    for row in rows:
        _hold(row, name, field.related_model, found[row.pk])


def _hold(row, name, model, parts):
    own = model._default_manager.all()
    own._result_cache, own._prefetch_done = parts, True
    row._prefetched_objects_cache = getattr(row, "_prefetched_objects_cache", {}) | {name: own}


def _question(queryset):
    """Return `(queryset, compiler, statement, parameters)`; None if no row can be meant."""
    same = getattr(queryset, "same_as", None)
    if same is None:
        return _worded(queryset)
    if not hasattr(same, "worded"):
        same.worded = _worded(same.all())
    _, compiler, *asked = same.worded
    return queryset, copy.copy(compiler), *asked


def _worded(queryset):
    compiler = queryset.query.get_compiler(queryset.db)
    try:
        sql, params = compiler.as_sql()
    except EmptyResultSet:
        queryset._result_cache = []
        return None
    names = [f"c{n}" for n in range(len(compiler.select))]
    values = map(_as_json, names, map(_type_of, compiler.select))
    arrays = (
        ARRAY[connection.vendor].format(", ".join(v)) for v in batched(values, MOST, strict=False)
    )
    rows = ROWS[connection.vendor].format(", ".join(arrays))
    statement = f"(WITH t({', '.join(names)}) AS ({sql}) SELECT {rows} FROM t)"
    return queryset, compiler, statement, params


def _type_of(selected):
    field = selected[0].output_field
    return getattr(field, "target_field", field).get_internal_type()


def _as_json(name, kind):
    return AS_JSON.get((connection.vendor, kind), "{}").format(name)


def _array(values):
    return ARRAY[connection.vendor].format(", ".join(values))


def _answers(statements, params):
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(statements)}", [p for some in params for p in some])
        return cursor.fetchone()


def _fill(queryset, compiler, rows):
    """Give a queryset its rows as if it had fetched them itself."""
    columns = zip(*(chain.from_iterable(row) for row in rows), strict=True)
    read = [_column(values, one) for values, one in zip(columns, compiler.select, strict=False)]
    compiler.execute_sql = lambda *_, **__: [list(zip(*read, strict=True))]
    compiler.get_converters = lambda _: {}
    told = queryset._chain()
    told.query.get_compiler = lambda *_, **__: compiler
    queryset._result_cache = list(told._iterable_class(told))


def _column(values, selected):
    """Return a column of values out of JSON as Python's."""
    field = selected[0].output_field
    convert = FROM_JSON.get(_type_of(selected)) or _decimal_of(field)
    if convert:
        values = [None if v is None else convert(v) for v in values]
    if hasattr(field, "from_db_value"):
        values = [field.from_db_value(v, selected[0], connection) for v in values]
    return values


def _moment(told):
    """Return a moment as Django has it; SQLite keeps no time zone, and means UTC."""
    return told.astimezone(UTC) if told.tzinfo else told.replace(tzinfo=UTC)


def _decimal_of(field):
    """Return what makes a number of a decimal field, None for other fields."""
    if field.get_internal_type() != "DecimalField":
        return None
    places = Decimal(1).scaleb(-field.decimal_places)
    return lambda number: Decimal(str(number)).quantize(places)
