"""What a shop said of the columns of its loggers, remembered for the next log laid out the same."""

from collections.abc import Sequence

from witnessmark.records.shop import Shop, add_line, read_lines, writing

_FORM = "witnessmark told 1"
_KEYS = ("layout", "on")


def remember(shop: Shop, layout: str, texts: Sequence[str], on: str) -> None:
    """Remember corrections as typed. `layout`: of the log they were said of. `on`: ISO date.

    Of a column said twice the later holds. UserError if the record is damaged.
    """
    path = shop.path / "told.jsonl"
    with writing(shop):
        known = dict(_known(shop, layout))
        fresh = [text for text in texts if text not in known]
        if fresh:
            add_line(path, _FORM, _KEYS, {"layout": layout, "on": on, "told": fresh})


def remembered(shop: Shop, layout: str) -> list[tuple[str, str]]:
    """What was said of such a log's columns and not forgotten since: (as typed, ISO date)."""
    return _known(shop, layout)


def forget(shop: Shop, layout: str, on: str) -> int:
    """Forget what was said of such a log's columns; how many corrections that were."""
    with writing(shop):
        known = _known(shop, layout)
        if known:
            line = {"layout": layout, "on": on, "forgotten": [text for text, _ in known]}
            add_line(shop.path / "told.jsonl", _FORM, _KEYS, line)
    return len(known)


def _known(shop: Shop, layout: str) -> list[tuple[str, str]]:
    held: dict[str, tuple[str, str]] = {}  # by the column as typed
    for line in read_lines(shop.path / "told.jsonl", _FORM, _KEYS):
        if line["layout"] != layout:
            continue
        if "forgotten" in line:
            held.clear()
        for text in line.get("told", ()):
            column = text.rpartition("=")[0].strip()
            held.pop(column, None)
            held[column] = (text, line["on"])
    return list(held.values())
