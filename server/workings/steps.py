"""One step of a card: what it shows, what is asked of it, and whether it is done (rules 6 to 8)."""

from workings import entries, formats, measuring, readings, rounding, weaving
from workings import procedure as procedures
from workings import values as v
from workings.errors import WorkingError

NOT_GIVEN = "not given"


class Judged:
    """A reading or a computed value against its limits.

    verdict: inside, outside, too_close, good, bad, none (no limit) or missing; lower, upper: shown texts or
    None; text: the shown text; uncertainty: expanded, SI; conceded: the acting concession or None.
    """

    __slots__ = ("name", "verdict", "lower", "upper", "text", "uncertainty", "conceded", "blocks", "trouble",
                 "value", "step")

    def limit_text(self):
        return "%s to %s" % (self.lower or "", self.upper or "")


def format_of(card, definition, form=None):
    """The checked show format of a number, from what is woven or what its definition says."""
    return checked_format(form or definition.get("show"), definition["dimension"])


_formats = {}


def checked_format(text, dimension):
    """A format read once; where none is given, the unit people expect first, to a thousandth."""
    key = (text, dimension)
    if key not in _formats:
        _formats[key] = formats.read_format(text or formats.units_for(dimension)[0] + " 0.001", dimension)
    return _formats[key]


def shown_value(card, name, form, position):
    """quantities.show of a name, or {"text"} alone for words. Raises Missing or Trouble."""
    kind, value = card.values.get(name, position)
    if kind == "text":
        return _words(value.replace("_", " "))
    if kind == "yes/no":
        return _words("yes" if value else "no")
    return formats.show(value, value_format(card, name, form))


def value_format(card, name, form):
    base = name.split(".")[0]
    definition = card.procedure.names[base]["definition"]
    if "." in name:
        dimension = output_dimension(definition, name.split(".")[1])
        return checked_format(form, dimension)
    return format_of(card, definition, form)


def output_dimension(definition, output):
    for o in v.registry.find(definition["working"]).outputs:
        if o.name == output:
            return o.dimension
    return "plain"


def _words(text):
    return {"text": text, "number": text, "whole": "", "num": "", "den": "", "unit": "", "spoken": text, "step": 0}


def judge_reading(card, r, position):
    """Judged for a reading as it stands; `blocks` is a reason or None."""
    out = Judged()
    key = card.values.place_of(r["name"], position)
    stands = card.standing.get(key)
    out.name, out.conceded, out.trouble, out.text, out.value = r["name"], None, None, "", None
    out.lower = out.upper = None
    out.uncertainty, out.step = 0.0, 0.0
    _put_limits(card, out, r, position)
    if stands is None or stands.value is None:
        out.verdict = "missing"
        if stands is not None and stands.beside:
            out.blocks = "%s: two readings stand side by side; a lead chooses" % card.words(r["label"])
        else:
            out.blocks = None if r.get("optional") else "%s is not read yet" % card.words(r["label"])
        return out
    kind, value = stands.value
    out.value = stands.value
    if kind != "number":
        out.text = value if kind == "text" else ("yes" if value else "no")
        good = r.get("good_words")
        out.verdict = "none" if not good else "good" if out.text in good else "bad"
    else:
        out.step, out.uncertainty = stands.resolution, stands.uncertainty
        out.text = formats.show(value, format_of(card, r))["text"]
        _judge(card, out, r, value, position)
    _concede(card, out, key, r)
    return out


def judge_typed(card, place, r, value):
    """The verdict that a number being typed would get, with the gauge that the procedure asks for."""
    out = Judged()
    out.trouble, out.uncertainty = None, 0.0
    gauge = readings.asked_gauge(r, card.procedure)
    out.step = formats.step_size(format_of(card, r))
    if gauge is not None:
        out.step, out.uncertainty = readings.gauge_numbers(gauge, r["dimension"], r["label"])
    _judge(card, out, r, rounding.snap(value, out.step), place.position)
    return out.verdict


def judge_value(card, j, position):
    """Judged for a computed value with limits; its uncertainty is carried over from the readings' gauges."""
    out = Judged()
    out.name, out.conceded, out.trouble, out.text, out.value = j["value"], None, None, "", None
    out.lower = out.upper = None
    out.uncertainty, out.step = 0.0, 0.0
    _put_limits(card, out, j, position)
    try:
        kind, value = card.values.get(j["value"], position)
    except v.Missing as gap:
        out.verdict = "missing"
        out.blocks = None if gap.optional else "%s waits for %s" % (card.words(j["label"]), ", ".join(gap.names))
        return out
    except v.Trouble as error:
        out.verdict, out.trouble = "missing", error.message
        out.blocks = error.message
        return out
    out.value = (kind, value)
    if kind == "number":
        form = value_format(card, j["value"], j.get("show"))
        shown = formats.show(value, form)
        out.text, out.step = shown["text"], shown["step"]
        value = formats.rounded(value, form)
        if j.get("lower") or j.get("upper"):
            out.uncertainty = uncertainty_of(card, j["value"], position)[0]
        _judge(card, out, j, value, position)
    else:
        out.text = value if kind == "text" else ("yes" if value else "no")
        good = j.get("good_words")
        out.verdict = "none" if not good else "good" if out.text in good else "bad"
    _concede(card, out, card.values.place_of(j["value"], position), j)
    return out


def uncertainty_of(card, name, position):
    """(expanded uncertainty in SI, budget [(label, share)]) of a computed number from its readings' gauges."""
    found, data = card.values.readings_behind([name], position)
    inputs = {}
    for key in found:
        stands = card.standing.get(key)
        if stands is not None and stands.value is not None and stands.value[0] == "number" and stands.uncertainty > 0:
            inputs[key] = stands
    if not inputs:
        return 0.0, []
    keys = sorted(inputs, key=lambda k: (k[0], k[1] or ""))
    # It is by far the dearest thing that a fold does, and hangs on these numbers alone.
    mark = entries.sha(repr((card.procedure.digest, name, position, [(k, inputs[k].uncertainty) for k in keys],
                             _standing_marks(card, found, data))))
    kept = card.values.kept.uncertainties
    if mark not in kept:
        kept[mark] = _propagated(card, name, position, inputs, keys)
    return kept[mark]


def _standing_marks(card, readings_behind, data_behind):
    """Everything else that a value rests on, so that a kept uncertainty is never one of other numbers."""
    keys = sorted(list(readings_behind) + list(data_behind), key=lambda k: (k[0], k[1] or ""))
    return [(k, card.standing[k].value) for k in keys if k in card.standing]


def _propagated(card, name, position, inputs, keys):

    def changed(numbers):
        try:
            return card.values.with_changed(numbers).get(name, position)[1]
        except v.Trouble as error:
            raise WorkingError(name, "", "a reading a little different", error.message)

    try:
        found = measuring.propagate(changed, {k: inputs[k].value[1] for k in keys},
                                    {k: inputs[k].uncertainty / 2 for k in keys}, keys)
    except WorkingError:
        return 0.0, []
    labels = card.procedure.names
    budget = [[labels[share["input"][0]]["definition"]["label"], share["share"]] for share in found["shares"]]
    return [found["expanded"], budget]


def _limit(card, r, which, position):
    if not r.get(which):
        return None
    return card.values.evaluate(r[which], position)[1]


def _put_limits(card, out, r, position):
    form = None
    for which in ("lower", "upper"):
        try:
            limit = _limit(card, r, which, position)
        except (v.Missing, v.Trouble):
            limit = None
        if limit is not None:
            if form is None:
                form = value_format(card, r.get("value", r.get("name")), r.get("show"))
            setattr(out, which, formats.show(limit, form)["text"])


def _judge(card, out, r, value, position):
    out.verdict = "none"
    try:
        lower, upper = _limit(card, r, "lower", position), _limit(card, r, "upper", position)
    except v.Missing as gap:
        out.trouble = "%s: its limit waits for %s" % (card.words(r["label"]), ", ".join(gap.names))
        return
    except v.Trouble as error:
        out.trouble = error.message
        return
    if lower is None and upper is None:
        return
    try:
        out.verdict = readings.verdict(value, out.step, lower, upper, out.uncertainty)
    except WorkingError as error:
        out.trouble = error.message


def _concede(card, out, key, r):
    out.blocks = out.trouble
    stopped = out.verdict in ("outside", "bad") or (out.verdict == "too_close" and r.get("settle"))
    if not stopped:
        return
    acting = card.conceded.get(key)
    if acting and acting[0].body["text"] == out.text and acting[0].body["limit"] == out.limit_text():
        out.conceded = acting[0]
        return
    words = {"outside": "is outside its limit", "bad": "is not good enough", "too_close": "is too close to tell"}
    out.blocks = "%s: %s %s; measure again, put it right, or ask a lead for a concession" % (
        card.words(r["label"]), out.text, words[out.verdict])


class StepState:
    """state: done, open, shut, off (on a way not taken) or waiting (its way is not known yet).

    waits: why it is shut or not done, in words; done_by: the said-done that makes it done; judged: {name:
    Judged}, None until asked for (Card.judged_at); concessions: those it leans on; requirement: what is wanting.
    """

    __slots__ = ("state", "waits", "done_by", "judged", "concessions", "requirement")

    def __init__(self, state):
        self.state, self.waits, self.done_by = state, [], None
        self.judged, self.concessions, self.requirement = None, [], []


def asked_at(item):
    """The readings of a step and its way: what entries there give values to."""
    return list(item.get("readings", ())) + ([item["way"]] if item.get("way") else [])


def judge_step(card, place, state):
    """Fills in what the step asks: judged readings and values, and what is still wanting."""
    item, position = place.item, place.position
    state.judged = {}
    for r in item.get("readings", ()):
        state.judged[r["name"]] = judge_reading(card, r, position)
    for j in item.get("judged", ()):
        state.judged[j["value"]] = judge_value(card, j, position)
    for name in sorted(state.judged):
        if state.judged[name].conceded is not None:
            state.concessions.extend(card.conceded[card.values.place_of(name, position)])
    for part in list(item.get("readings", ())) + list(item.get("judged", ())):
        blocked = state.judged[part.get("value", part.get("name"))].blocks
        if blocked:
            state.requirement.append(blocked)
    way = item.get("way")
    if way:
        stands = card.standing.get(card.values.place_of(way["name"], position))
        if stands is None or stands.value is None:
            state.requirement.append("%s is not chosen yet" % card.words(way["label"]))


def find_done(card, place, only=None):
    """The said-done that makes a step done, or None with what is wanting: (entry, wants).

    only: where given, checks and said-dones outside this set of hashes do not serve (rule 11).
    """
    here = card.counting_at.get(place.id, ())
    wants, must_know, checks = [], [], []
    for r in asked_at(place.item):
        stands = card.standing.get(card.values.place_of(r["name"], place.position))
        if stands is not None and not r.get("optional"):
            must_know.extend(stands.heads)
    for c in place.item.get("checks", ()):
        ticks = [e for e in here if e.kind == "check" and e.body["check"] == c["id"]
                 and (only is None or e.hash in only)]
        if not ticks:
            wants.append("not ticked: " + plain(card, c["words"], place.position))
        checks.append(ticks)
    said = [e for e in here if e.kind == "said-done" and (only is None or e.hash in only)]
    if wants or not said:
        return None, wants
    shown, waits = shown_texts(card, place)
    if waits:
        return None, ["waits for " + ", ".join(waits)]
    mark = sorted([list(pair) for pair in shown])
    for e in said:
        if (sorted(e.body["shown"]) == mark and all([card.knowing.knows(e, r) for r in must_know])
                and all([any([card.knowing.knows(e, t) for t in ticks]) for ticks in checks])):
            return e, []
    return None, ["it was said done by other numbers or before what now counts: look again and say so"]


def shown_texts(card, place):
    """([(key, text)], waits): the text of every value and limit that the step shows now."""
    out, waits = {}, []
    item, position = place.item, place.position
    woven = list(item.get("text", ())) + [c["words"] for c in item.get("checks", ())]
    woven.extend(list((item.get("drawing") or {}).get("texts", {}).values()))
    names = [(p[1], p[2]) for text in woven for p in weaving.woven(text) if p[0] == "value"]
    for value in item.get("values", ()):
        if "formula" in value:
            names.append((value["name"], None))
    for name, form in names:
        key = name + (" : " + form if form else "")
        if key in out:
            continue
        try:
            out[key] = shown_value(card, name, form, position)["text"]
        except v.Missing as gap:
            out[key] = NOT_GIVEN
            if not gap.optional:
                waits.extend([n for n in gap.names if n not in waits])
        except v.Trouble as error:
            waits.append(error.message)
    for name, judged in card.judged_at(place).items():
        if judged.lower is not None:
            out[name + " >="] = judged.lower
        if judged.upper is not None:
            out[name + " <="] = judged.upper
        if name not in [r["name"] for r in item.get("readings", ())] and judged.verdict != "missing":
            out[name + " ="] = judged.text
    return [(k, out[k]) for k in sorted(out)], waits


def plain(card, text, position):
    """A woven text as plain words, with values as they stand."""
    out = []
    for piece in weaving.woven(text):
        if piece[0] == "text":
            out.append(piece[1])
        elif piece[0] == "term":
            out.append(card.say(piece))
        else:
            try:
                out.append(shown_value(card, piece[1], piece[2], position)["text"])
            except (v.Missing, v.Trouble):
                out.append("…")
    return "".join(out)


def content_digest(card, place_ids):
    """The digest of the content of these steps, in their order: what a sign-off says it covered."""
    kept = card.procedure.closures
    parts = []
    for p in place_ids:
        item = card.road.by_id[p].item
        key = "digest:" + item["id"]
        if key not in kept:
            kept[key] = procedures.step_digest(item)
        parts.append(p + " " + kept[key])
    return entries.sha("\n".join(parts))
