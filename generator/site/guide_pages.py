"""The guide's pages that are made from the library: each procedure, the trade words, the cautions of each worksheet.

Text in, text out: Markdown that holds one block of HTML, so that no source text is read as markup. All is escaped.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from generator.model import (
    Borrowed,
    Engine,
    EngineValue,
    Include,
    Picture,
    Procedure,
    Question,
    Result,
    Sign,
    Stage,
    Step,
    worst_first,
)
from generator.render import SIGNAL, environment, source_line
from generator.richtext import Rich, names_in, rich, which_of
from generator.sheet_types import StageJson, StepJson, WorksheetJson


def reference_page(procedure: Procedure, engines: Sequence[Engine] = (), link: str = "../{}/") -> str:
    """Return a procedure as a page of the guide: Markdown that holds only HTML, so no source text is read as markup.

    `link` makes the address of an included procedure's page from its id.
    """
    return (
        environment(_TEMPLATES)
        .get_template("reference")
        .render(
            procedure=procedure,
            parts=[_reference_part(part, procedure, link) for part in procedure.stages],
            engines=engines,
            values=[_reference_value(name, procedure, engines) for name in procedure.values],
            results=[_reference_result(name, procedure) for name in procedure.results],
            signal=SIGNAL,
            worst_first=worst_first,
            one_line=_one_line,
        )
    )


def words_page(procedures: Iterable[Procedure], drawings: Mapping[str, Picture], picture: str) -> str:
    """Return the page of all trade words that a step explains, in the order of the alphabet, each with its drawing.
    `picture` makes a drawing's address from its file: `pictures/{}`."""
    drawn = {word.casefold(): drawing for word, drawing in drawings.items()}
    found: dict[str, dict[str, Any]] = {}
    for step in (step for one in procedures for part in one.stages if isinstance(part, Stage) for step in part.steps):
        for term, meaning in step.words.items():
            low = term.casefold()
            word = found.setdefault(low, {"term": term, "meanings": [], "drawing": drawn.get(low)})
            word["meanings"] += [] if meaning in word["meanings"] else [meaning]
    words = [found[term] for term in sorted(found)]
    return environment(_TEMPLATES).get_template("words").render(words=words, picture=picture, one_line=_one_line)


def cautions_page(sheet: WorksheetJson) -> str:
    """Return the page with all cautions of a worksheet in the order of the job, each with its step and the reason."""
    numbers = {step["path"]: number for number, step in enumerate(sheet["steps"], 1)}
    stages = [_warned(at, stage, sheet, numbers) for at, stage in enumerate(sheet["stages"])]
    facts = {"sheet": sheet, "stages": [stage for stage in stages if stage["warnings"]], "signal": SIGNAL}
    return environment(_TEMPLATES).get_template("cautions").render(**facts, one_line=_one_line)


def reading_room(sheets: Iterable[WorksheetJson], asked: Collection[str]) -> str:
    """Return the page that leads somebody who learns a job to all that the guide has of it. `asked`: the worksheets
    with a page of questions."""
    jobs = [{"name": one["worksheet"], "title": f"{one['title']}: {one['engine']['title']}"} for one in sheets]
    return environment(_TEMPLATES).get_template("reading room").render(jobs=jobs, asked=asked, one_line=_one_line)


def questions_page(title: str, engine: str, stages: Sequence[tuple[str, Sequence[Question]]]) -> str:
    """Return the page of what to ask oneself before each stage of a job: the question, and its answer on a tap. A stage
    that is there again, for another bank or on another way, asks once. Its other titles stand below the first."""
    facts = {"title": title, "engine": engine, "stages": _asked_once(stages)}
    return environment(_TEMPLATES).get_template("questions").render(**facts, one_line=_one_line)


def _asked_once(stages: Sequence[tuple[str, Sequence[Question]]]) -> list[dict[str, Any]]:
    found: dict[tuple[str, ...], dict[str, Any]] = {}
    for title, questions in stages:
        asked = found.setdefault(tuple(one.ask for one in questions), {"titles": [], "questions": questions})
        asked["titles"] += [] if title in asked["titles"] else [title]
    return [asked for asked in found.values() if asked["questions"]]


def _warned(at: int, stage: StageJson, sheet: WorksheetJson, numbers: Mapping[str, int]) -> dict[str, Any]:
    ofstage = [{"cautions": stage["cautions"], "step": None}] if stage["cautions"] else []
    steps = [step for step in sheet["steps"] if step["stage"] == at and step["cautions"]]
    told = [{"cautions": step["cautions"], "step": _told(step, sheet, numbers)} for step in steps]
    return {"number": at + 1, "title": stage["title"], "warnings": [*ofstage, *told]}


def _told(step: StepJson, sheet: WorksheetJson, numbers: Mapping[str, int]) -> dict[str, Any]:
    labels = {name: of["label"] for key in ("values", "readings", "givens") for name, of in sheet[key].items()}
    labels |= {result["name"]: result["label"] for result in sheet["results"]}
    said = {key: _named(step[key] or [], labels) for key in ("do", "why")}
    return {"number": numbers[step["path"]], "which": which_of(step.get("which")), **said}


def _reference_part(part: Stage | Include, procedure: Procedure, link: str) -> dict[str, Any]:
    if isinstance(part, Include):
        return {"include": part.include, "uses": _uses_said(part), "link": link.format(part.include)}
    return {"include": None, "stage": part, "steps": [_reference_step(step, procedure) for step in part.steps]}


def _uses_said(include: Include) -> str:
    """Return the names of the uses of an include: `left`, or `rear-left (rear left), rear-right (rear right)`."""
    said = ", ".join(f"{name} ({label})" for name, label in (include.each or {}).items())
    return f"{include.as_ or 'once for each'}: {said}" if said else include.as_ or ""


def _reference_step(step: Step, procedure: Procedure) -> dict[str, Any]:
    return {
        "step": step,
        "do": _labelled(step.do, procedure),
        "sheet_says": [_labelled(f"{{{name}}}", procedure) for name in step.sheet_says],
        "why": _labelled(step.why or "", procedure),
        "qualified": isinstance(step.check, Sign) and step.check.qualified,
    }


def _labelled(text: str, procedure: Procedure) -> Rich:
    """Return the tree of a text with each value's label in place of its name: a procedure has no values of its own."""
    return _named(rich(text), {name: _label(name, procedure) for name in names_in(text)})


def _named(tree: Rich, labels: Mapping[str, str]) -> Rich:
    """Return a tree with the label of each value in place of the value."""
    out: Rich = []
    for node in tree:
        if isinstance(node, str):
            out.append(node)
        elif "v" in node:
            out.append({"t": "strong", "c": [f"[{labels[node['v']]}]"]})
        else:
            out.append({**node, "c": _named(node["c"], labels)})
    return out


def _label(name: str, procedure: Procedure) -> str:
    """Return what a name in a procedure's text is called."""
    said = procedure.values.get(name) or procedure.readings.get(name) or procedure.results.get(name)
    return getattr(said, "label", None) or name.replace("_", " ")


def _reference_result(name: str, procedure: Procedure) -> dict[str, Any]:
    result = procedure.results[name]
    if isinstance(result, Borrowed):
        return {"label": _label(name, procedure), "formula": f"of {result.of}", "why": None, "limits": []}
    full = Result(formula=result) if isinstance(result, str) else result
    formula = f"{full.formula}, rounded {full.safe}" if full.safe else full.formula
    return {"label": _label(name, procedure), "formula": formula, "why": full.why, "limits": full.limits}


def _reference_value(name: str, procedure: Procedure, engines: Sequence[Engine]) -> dict[str, Any]:
    cells = [_reference_cell(engine.values.get(name)) for engine in engines]
    return {"label": procedure.values[name].label, "cells": cells}


def _reference_cell(value: EngineValue | None) -> dict[str, str]:
    if value is None:
        return {"text": "not listed", "from": ""}
    if value.missing is not None:
        return {"text": f"to be found: {value.missing}", "from": ""}
    source = value.source.on_sheet() if value.source else None
    return {"text": value.shown or "", "from": source_line(source)}


def _one_line(text: str) -> str:
    """Return a heading's text on one line, because a line break would end the heading."""
    return " ".join(text.split())


_RICH = """\
{%- macro tree(nodes) -%}
{%- for node in nodes -%}
{%- if node is string -%}{{ node }}
{%- elif node.t == 'em' -%}<em>{{ tree(node.c) }}</em>
{%- elif node.t == 'strong' -%}<strong>{{ tree(node.c) }}</strong>
{%- elif node.t == 'code' -%}<code>{{ tree(node.c) }}</code>
{%- endif -%}
{%- endfor -%}
{%- endmacro -%}
"""

# One block of HTML without an empty line in it. Markdown leaves such a block alone.
_REFERENCE = """\
{% from 'rich' import tree -%}
<div class="handturn-procedure">
<h1>{{ one_line(procedure.title) }}</h1>
<p>Procedure <code>{{ procedure.procedure }}</code>, revision {{ procedure.revision }}.
{%- if procedure.why %} {{ procedure.why }}{% endif %}</p>
{%- if procedure.takes_over %}
<p>Taken over, already open: {{ procedure.takes_over | join(', ') }}.</p>
{%- endif %}
{%- if procedure.leaves_open %}
<p>Left open for the procedure that follows: {{ procedure.leaves_open | join(', ') }}.</p>
{%- endif %}
{%- for part in parts %}
{%- if part.include %}
<p>Here: <a href="{{ part.link }}">{{ part.include }}</a>, as <code>{{ part.uses }}</code>.</p>
{%- else %}
<h2>{{ one_line(part.stage.stage) }}</h2>
{%- if part.stage.why %}
<p>{{ part.stage.why }}</p>
{%- endif %}
{%- for caution in worst_first(part.stage.cautions) %}
<p class="handturn-caution"><strong>{{ signal[caution.level] }}</strong> {{ caution.hazard }} {{ caution.harm }} \
{{ caution.avoid }}</p>
{%- endfor %}
<ol>
{%- for entry in part.steps %}
<li>
{%- for caution in worst_first(entry.step.cautions) %}
<p class="handturn-caution"><strong>{{ signal[caution.level] }}</strong> {{ caution.hazard }} {{ caution.harm }} \
{{ caution.avoid }}</p>
{%- endfor %}
<p>{{ tree(entry.do) }}</p>
{%- for value in entry.sheet_says %}
<p>The sheet says: {{ tree(value) }}</p>
{%- endfor %}
{%- if entry.step.why %}
<p><em>Why:</em> {{ tree(entry.why) }}</p>
{%- endif %}
{%- if entry.qualified %}
<p>Signed by another person, who must be qualified.</p>
{%- endif %}
</li>
{%- endfor %}
</ol>
{%- endif %}
{%- endfor %}
{%- if values %}
<h2>Values</h2>
<table>
<thead><tr><th>Value</th>{% for engine in engines %}<th>{{ engine.title }}</th>{% endfor %}</tr></thead>
<tbody>
{%- for value in values %}
<tr><td>{{ value.label }}</td>
{%- for cell in value.cells %}
<td>{{ cell.text }}{% if cell['from'] %}<br><small>{{ cell['from'] }}</small>{% endif %}</td>
{%- endfor %}</tr>
{%- endfor %}
</tbody>
</table>
{%- endif %}
{%- if results %}
<h2>Worked out from readings</h2>
<table>
<thead><tr><th>Result</th><th>Formula</th><th>What is said of it</th></tr></thead>
<tbody>
{%- for result in results %}
<tr><td>{{ result.label }}{% if result.why %}<br><small>{{ result.why }}</small>{% endif %}</td>
<td><code>{{ one_line(result.formula) }}</code></td>
<td>
{%- for limit in result.limits %}
{%- if limit.when %}<code>{{ one_line(limit.when) }}</code>: {% else %}otherwise: {% endif -%}
<strong>{{ limit.verdict }}</strong>{% if limit.bad %}, not to go on with{% endif %}<br>
{%- endfor %}</td></tr>
{%- endfor %}
</tbody>
</table>
{%- endif %}
</div>
"""

_WORDS = """\
<div class="handturn-words">
<h1>Words of the trade</h1>
<p>Every word that a step explains on a tap, with its drawing.</p>
{%- for word in words %}
<h2 id="{{ word.term | lower | replace(' ', '-') }}">{{ one_line(word.term) }}</h2>
{%- for meaning in word.meanings %}
<p>{{ meaning }}</p>
{%- endfor %}
{%- if word.drawing %}
<p><img src="{{ picture.format(word.drawing.file) }}" alt="{{ word.drawing.alt }}" loading="lazy"></p>
{%- endif %}
{%- endfor %}
</div>
"""

_CAUTIONS = """\
{% from 'rich' import tree -%}
<div class="handturn-cautions">
<h1>Cautions: {{ one_line(sheet.title) }}, {{ one_line(sheet.engine.title) }}</h1>
<p>All cautions of this worksheet in the order of the job. Read them before the day. On the phone each one
stands before its step.</p>
{%- for stage in stages %}
<h2>{{ stage.number }}. {{ one_line(stage.title) }}</h2>
{%- for warning in stage.warnings %}
{%- for caution in warning.cautions %}
<p class="handturn-caution"><strong>{{ signal[caution.level] }}</strong> {{ caution.hazard }} {{ caution.harm }} \
{{ caution.avoid }}</p>
{%- endfor %}
{%- if warning.step %}
<p>Step {{ warning.step.number }}: {{ warning.step.which }}{{ tree(warning.step.do) }}
{%- if warning.step.why %}<br><em>Why:</em> {{ tree(warning.step.why) }}{% endif %}</p>
{%- else %}
<p>For every step of this stage.</p>
{%- endif %}
{%- endfor %}
{%- endfor %}
</div>
"""

_QUESTIONS = """\
<div class="handturn-questions">
<h1>Questions before each stage: {{ one_line(title) }}, {{ one_line(engine) }}</h1>
<p>Answer aloud, then tap the question to see what we would say. Nobody keeps a score. Do you not know
an answer? Ask the tech before you begin that stage.</p>
{%- for stage in stages %}
<h2>{{ one_line(stage.titles[0]) }}</h2>
{%- if stage.titles[1:] %}
<p>Also before: {{ one_line(stage.titles[1:] | join(' · ')) }}</p>
{%- endif %}
{%- for question in stage.questions %}
<details><summary>{{ question.ask }}</summary>
<p>{{ question.answer }}</p></details>
{%- endfor %}
{%- endfor %}
</div>
"""

_READING_ROOM = """\
<div class="handturn-reading-room">
<h1>Reading room</h1>
<p>For whoever learns the job, to read before the day. <a href="../words/">Words of the trade</a> explains every
word that a step explains on a tap. <a href="../how-to/">How to do the hard parts</a> has five skills that a step
names in one line.</p>
{%- for job in jobs %}
<h2>{{ one_line(job.title) }}</h2>
<ul>
<li><a href="../cautions/{{ job.name }}/">Its cautions in order, with their reasons</a></li>
{%- if job.name in asked %}
<li><a href="../questions/{{ job.name }}/">Questions before each stage</a></li>
{%- endif %}
</ul>
{%- endfor %}
</div>
"""

_TEMPLATES = (
    ("cautions", _CAUTIONS),
    ("questions", _QUESTIONS),
    ("reading room", _READING_ROOM),
    ("reference", _REFERENCE),
    ("rich", _RICH),
    ("words", _WORDS),
)
