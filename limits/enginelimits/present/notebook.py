"""What a notebook shows of builds, assessments and judgements: the same trees that text is made of.

``%load_ext enginelimits.present.notebook`` registers it; the classes themselves know nothing of notebooks.
"""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import TYPE_CHECKING, Any, Final

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.description.paths import flattened
from enginelimits.description.values import Chance, Curve
from enginelimits.present.tree import Node, Role, Run, Tree, line, table
from enginelimits.present.values import at_text, input_text, result_text, value_text
from enginelimits.present.verdict import GRADE_ROLES, short_range, verdict_tree

if TYPE_CHECKING:
    from enginelimits.assessment.results import Assessment
    from enginelimits.decisions.verdict import Judgement, Verdict
    from enginelimits.description.filled import Filled
    from enginelimits.description.models import Build
    from enginelimits.present.plots.plot import Plot
    from enginelimits.units.display import System

CLASS: Final = "class."
STYLE: Final = (
    "<style>.enginelimits{max-width:60rem}.enginelimits table{border-collapse:collapse}"
    ".enginelimits td,.enginelimits th{text-align:left;vertical-align:top;padding:.1em .8em .1em 0}"
    ".enginelimits .assumed{font-style:italic}.enginelimits .muted{opacity:.75}"
    ".enginelimits .grade{text-transform:uppercase}</style>"
)
NO_VERDICT: Final = "Computed, not judged: no rule has looked at this yet."


def build_tree(build: Build, system: System = "metric") -> Tree:
    """What a build file states, as it was written."""
    rows = [(path, _stated(value, system)) for path, value in sorted(flattened(build).items())]
    return Tree(build.build, (table(("input", "as stated"), rows, wide=1, caption="What the build file states"),))


def filled_tree(filled: Filled, system: System = "metric") -> Tree:
    """Every input of the build with its range, basis and source; what nobody stated is marked as assumed."""
    rows = []
    for path, given in sorted(filled.inputs.items()):
        if path.startswith(CLASS) or (given.value is None and given.curve is None):
            continue
        role: Role = "assumed" if given.basis == "assumed" else "plain"
        rows.append((path, Run(short_range(input_text(given, system)), role), Run(given.basis, role),
                     given.source or ""))
    supplied = sum(path.startswith(CLASS) for path in filled.inputs)
    nodes: list[Node] = [table(("input", "value (range)", "basis", "source"), rows, wide=1,
                               caption="Inputs as used; what is assumed was filled from a class")]
    if supplied:
        nodes.append(line(Run(f"And {supplied} values that classes supply of the parts themselves.", "muted")))
    return Tree(filled.build.build, tuple(nodes))


def assessment_tree(assessment: Assessment, system: System = "metric") -> Tree:
    """The quantities of an assessment with their ranges, and how many were not told."""
    rows, silent = [], 0
    for id_, result in assessment.quantities.items():
        if result.status != "ok" or QUANTITIES[id_].detail:
            silent += 1
            continue
        role: Role = "assumed" if result.basis == "assumed" else "plain"
        rows.append((id_, Run(short_range(result_text(result, system)), role), at_text(result.at, system),
                     Run(result.basis, role)))
    drawn = f"from {assessment.samples_valid} draws, seed {assessment.seed}" if assessment.samples else "without draws"
    nodes: tuple[Node, ...] = (
        line(Run(NO_VERDICT, "strong")),
        table(("quantity", "value (range)", "where", "weakest basis"), rows, wide=1,
              caption=f"Governing values {drawn}"),
        line(Run(f"{silent} more do not apply, could not be computed, or are steps on the way.", "muted")),
    )
    return Tree(assessment.filled.build.build, nodes)


def short_verdict_tree(verdict: Verdict, system: System = "metric") -> Tree:
    """A verdict alone: grade and sentence, and what could still worsen it."""
    if verdict.grade == "clear" and not verdict.complete:
        grade = Run("INCOMPLETE", "unknown")
    else:
        grade = Run(verdict.grade.upper(), GRADE_ROLES[verdict.grade])
    nodes: list[Node] = [line(grade, f". {verdict.sentence}")]
    if verdict.open:
        nodes.append(line(Run("Could still worsen it: ", "muted"), f"{', '.join(verdict.open)}."))
    return Tree("Verdict", tuple(nodes))


def judgement_tree(judgement: Judgement, system: System = "metric") -> Tree:
    """The report of ``check``."""
    return verdict_tree(judgement, system)


# Module and class, so that nothing is imported before there is one to show; and its tree.
SHOWN: Final[tuple[tuple[str, str, Callable[..., Tree]], ...]] = (
    ("enginelimits.description.models", "Build", build_tree),
    ("enginelimits.description.filled", "Filled", filled_tree),
    ("enginelimits.assessment.results", "Assessment", assessment_tree),
    ("enginelimits.decisions.verdict", "Judgement", judgement_tree),
    ("enginelimits.decisions.verdict", "Verdict", short_verdict_tree),
)


def tree_html(tree: Tree) -> str:
    """A tree as HTML that can stand in any page."""
    from enginelimits.present.page.html import nodes_html

    return (f'<div class="enginelimits">{STYLE}<h3>{escape(tree.title)}</h3>\n'
            f"{nodes_html(tree.nodes, under=3)}</div>")


def plot_html(plot: Plot) -> str:
    """A plot with its title and its words."""
    return (f'<figure class="enginelimits">{plot.svg}<figcaption><strong>{escape(plot.title)}.</strong> '
            f"{escape(plot.alt)}</figcaption></figure>")


def load_ipython_extension(shell: Any) -> None:
    """Register what is shown of each class, as HTML and, on a terminal, as text."""
    formatters = shell.display_formatter.formatters
    for module, name, tree_of in SHOWN:
        formatters["text/html"].for_type_by_name(module, name, _html_of(tree_of))
        formatters["text/plain"].for_type_by_name(module, name, _text_of(tree_of))
    formatters["text/html"].for_type_by_name("enginelimits.present.plots.plot", "Plot", plot_html)
    formatters["text/plain"].for_type_by_name("enginelimits.present.plots.plot", "Plot", _plot_text)


def unload_ipython_extension(shell: Any) -> None:
    """Take all of it back."""
    names = [(module, name) for module, name, _ in SHOWN] + [("enginelimits.present.plots.plot", "Plot")]
    for formatter in (shell.display_formatter.formatters[kind] for kind in ("text/html", "text/plain")):
        for module, name in names:
            for key in (f"{module}.{name}", *(t for t in list(formatter.type_printers)
                                              if (t.__module__, t.__name__) == (module, name))):
                formatter.pop(key, None)


def _html_of(tree_of: Callable[..., Tree]) -> Callable[[Any], str]:
    def shown(value: Any) -> str:
        return tree_html(tree_of(value, _system()))

    return shown


def _text_of(tree_of: Callable[..., Tree]) -> Callable[[Any, Any, bool], None]:
    def shown(value: Any, printer: Any, cycle: bool) -> None:
        from enginelimits.present.text import report

        printer.text(report(tree_of(value, _system())).rstrip("\n"))

    return shown


def _plot_text(plot: Plot, printer: Any, cycle: bool) -> None:
    printer.text(f"{plot.title}. {plot.alt}")


def _system() -> System:
    """The shop's units, else metric, as for every command."""
    from enginelimits.shop import read_shop, shop_folder

    return "us" if read_shop(shop_folder(None)).units == "us" else "metric"


def _stated(value: Any, system: System) -> str:
    """A stated value as it stands in the file; a curve point by point."""
    written = getattr(value, "written", "")
    if written:
        return str(written)
    if isinstance(value, tuple):
        return ", ".join(_stated(part, system) for part in value)
    if isinstance(value, Curve):
        return ", ".join(f"{_stated(at, system)}: {_stated(y, system)}" for at, y in value)
    if isinstance(value, Chance):
        return f"not known, chance of yes {100.0 * value.probability:.0f} %"
    if hasattr(value, "si"):
        return value_text(value.si, value.unit, system)
    return value_text(value, "1", system) if isinstance(value, bool | str | int | float) else str(value)
