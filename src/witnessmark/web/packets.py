"""Routes for the tuner: pack a verdict for him, and take his answer into the plan."""

from collections.abc import Mapping

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData

from witnessmark.errors import UserError
from witnessmark.jobs.packet.map_file import MOST, map_of
from witnessmark.model.answer_file import CEILINGS, Ceilings
from witnessmark.model.plan import Phase
from witnessmark.model.tuner_answer import Decision, MapNamed
from witnessmark.report.words import plain, title
from witnessmark.units import CHOICES, show
from witnessmark.web import packet_work as work
from witnessmark.web.forms import file_in, form_of, text_in
from witnessmark.web.pages import download, page, see
from witnessmark.web.plans import gone
from witnessmark.web.store import Drive, Plan, Store

_TICKED = ("include_map", "without_original")
_UNITS = ("pressure", "temperature", "distance", "mixture")
_TYPED = ("decision", "words", "signed_by", "signed_on", "map_name", "checksum", "log_sha256",
          "packet")  # fmt: skip
_SAYS = {
    Decision.CONTINUE: "Continue: the engine goes on, same map",
    Decision.NEW_MAP: "New map: the engine goes on with the map named below",
    Decision.REPEAT: "Repeat the log: nothing changes, the drive is logged again",
    Decision.STOP: "Stop: the engine is not started again until the tuner says so",
}


def packet_routes(store: Store) -> APIRouter:
    """The routes, over this store."""
    routes = APIRouter()

    @routes.get("/reviews/{name}/packet")
    def ask(name: str) -> Response:
        drive = store.find(name, Drive)
        return _packet_page(name, drive) if drive and drive.review else gone()

    @routes.post("/reviews/{name}/packet")
    async def pack(name: str, request: Request) -> Response:
        async with form_of(request, fields=len(_UNITS) + 6) as form:
            drive = store.find(name, Drive)
            if drive is None or drive.review is None:
                return gone()
            typed = {field: text_in(form, field) for field in ("map", "note", "answer_to", *_UNITS)}
            ticked = {f: bool(text_in(form, f)) for f in _TICKED}
            try:
                data, called = await _map_file(form)
                asked = work.Asked(
                    typed["map"] or called, data, ticked["include_map"], typed["note"],
                    typed["answer_to"], ",".join(typed[u] for u in _UNITS if typed[u]),
                    ticked["without_original"],
                )  # fmt: skip
                made = await run_in_threadpool(work.packed, drive, asked)
            except UserError as error:
                return _packet_page(name, drive, typed, ticked, error)
        return download(made, f"{drive.plan.plan.serial} {drive.phase} packet.zip")

    @routes.get("/plans/{name}/answer")
    def ask_answer(name: str, review: str = "") -> Response:
        plan = store.find(name, Plan)
        drive = store.find(review, Drive) if review else None
        log = drive.review.log.source.sha256 if drive and drive.review else ""
        return _answer_page(name, plan, {"log_sha256": log}) if plan else gone()

    @routes.post("/plans/{name}/answer")
    async def take(name: str, request: Request) -> Response:
        plan = store.find(name, Plan)
        phases = len(plan.plan.phases) if plan else 0
        most = len(_TYPED) + phases * len(CEILINGS) + 2
        async with form_of(request, files=3, fields=max(most, 8)) as form:
            if plan is None:
                return gone()
            typed = {field: text_in(form, field) for field in (*_TYPED, *_ceiling_fields(plan))}
            try:
                sent = await _sent(form, typed)
                taken = await run_in_threadpool(work.answered, plan, sent)
            except UserError as error:
                return _answer_page(name, plan, typed, error)
        return see(f"/plans/{store.keep(taken)}")

    return routes


async def _map_file(form: FormData) -> tuple[bytes, str]:
    """Bytes and name of the map file sent, both empty if none was. Raises UserError."""
    sent = file_in(form, "map_file")
    if sent is None:
        return b"", ""
    data = await sent.file.read(MOST + 1)
    if not data or len(data) > MOST:
        raise UserError(
            sent.name, f"it is over {MOST // 1_000_000} MB" if data else "it is empty",
            "the map file is wanted", "Look whether this is the right file",
        )  # fmt: skip
    return data, sent.name


async def _sent(form: FormData, typed: Mapping[str, str]) -> work.Sent:
    data, called = await _map_file(form)
    new_map = map_of(data, called) if data else None
    packet = file_in(form, "packet_file")
    answer = file_in(form, "answer")
    if answer is not None and typed["decision"]:
        raise UserError(
            "Answer", f"both a file ({answer.name}) and a filled-in form", "one of them is wanted",
            "Send the file alone, or fill in the form alone",
        )  # fmt: skip
    return work.Sent(
        "" if answer is None else await answer.text("a tuner's answer (answer.toml)"),
        answer.name if answer else "", _fields(typed, new_map), new_map,
        await packet.file.read() if packet else b"", packet.name if packet else "",
    )  # fmt: skip


def _fields(typed: Mapping[str, str], new_map: MapNamed | None) -> dict[str, object]:
    """The form's fields as they would stand in answer.toml."""
    checksum = "".join(typed["checksum"].split()).lower()
    named = {"name": typed["map_name"] or (new_map.name if new_map else "")}
    if checksum:
        named["crc32" if len(checksum) <= 8 else "sha256"] = checksum
    elif new_map is not None:
        named |= {"sha256": new_map.sha256, "crc32": new_map.crc32}
    ceilings: dict[str, dict[str, str]] = {}
    for field, text in typed.items():
        if field not in _TYPED and text.strip():
            phase, _, name = field.partition("/")
            ceilings.setdefault(phase, {})[name] = text
    kept = {f: typed[f].strip() for f in ("decision", "words", "signed_by", "signed_on")}
    about = {"log_sha256": typed["log_sha256"], "packet": typed["packet"]}
    return {**kept, **about, "map": named, "ceilings": ceilings}


def _ceiling_fields(plan: Plan) -> list[str]:
    return [f"{phase.id}/{name}" for phase in _phases(plan) for name in CEILINGS]


def _phases(plan: Plan) -> list[Phase]:
    return [phase for phase in plan.plan.phases if phase.ceilings]


def _packet_page(
    name: str, drive: Drive, typed: Mapping[str, str] | None = None,
    ticked: Mapping[str, bool] | None = None, error: UserError | None = None,
) -> HTMLResponse:  # fmt: skip
    prefer = drive.plan.plan.prefer
    now = typed or {unit: getattr(prefer, unit) for unit in _UNITS}
    shown = {"distance": {"km": "km, km/h", "mi": "mi, mph"}}
    units = [
        (unit, [(c, shown.get(unit, {}).get(c, c), c == now[unit]) for c in CHOICES[unit]])
        for unit in _UNITS
    ]
    return page(
        "packet", 400 if error else 200, faults=error.faults if error else (), review=name,
        serial=drive.plan.plan.serial, engine=drive.plan.plan.engine, log_name=drive.name,
        units=units, map=now.get("map", ""), note=now.get("note", ""),
        answer_to=now.get("answer_to", ""), ticked=ticked or dict.fromkeys(_TICKED, False),
    )  # fmt: skip


def _answer_page(
    name: str, plan: Plan, typed: Mapping[str, str], error: UserError | None = None
) -> HTMLResponse:
    prefer = plan.plan.prefer
    phases = []
    for phase in _phases(plan):
        rows = [
            {
                "field": f"{phase.id}/{ceiling}", "name": title(plain(ceiling)),
                "now": show(phase.ceilings[ceiling].value, prefer)
                if ceiling in phase.ceilings else "no ceiling",
                "example": (Ceilings.model_fields[ceiling].examples or [""])[0],
                "typed": typed.get(f"{phase.id}/{ceiling}", ""),
            }
            for ceiling in CEILINGS
        ]  # fmt: skip
        phases.append((phase.title, rows, any(row["typed"] for row in rows)))
    return page(
        "answer", 400 if error else 200, faults=error.faults if error else (), plan=name,
        serial=plan.plan.serial, engine=plan.plan.engine, sha256=plan.sha256, phases=phases,
        decisions=[(d.value, _SAYS[d], d.value == typed.get("decision")) for d in Decision],
        typed={field: typed.get(field, "") for field in _TYPED},
    )  # fmt: skip
