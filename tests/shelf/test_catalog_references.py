"""A catalog in which a name leads nowhere is refused, at the place of the name."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.shelf.entry_schemas import CatalogFile
from planner.shelf.read import load_catalog

GOOD = """\
knockon: 1
kinds:
  pedal: {group: brakes, freedom: moves, largest_mm: 500, off_min: 5, on_min: 5,
    needs: [on-stands], opens: [brake], source: s}
links:
  pipe: {group: brakes, freedom: moves, across_mm: 5, bend_radius_mm: 14, slack_mm: 0, adjust_mm: 0, rigid: true,
    off_min: 5, on_min: 5, hands: 1, remake_min: 30, adjust_min: 0, needs: [on-stands], opens: [brake], source: s}
systems:
  brake: {group: brakes, fluid: f, open: o, open_min: 1, open_hands: 1, close: c, close_min: 1, close_hands: 2,
    needs: [on-stands], source: s}
conditions:
  on-stands: {name: on stands, enter: e, leave: l, enter_min: 1, leave_min: 1, hands: 1, source: s}
  wheels-off: {name: w, enter: e, leave: l, enter_min: 1, leave_min: 1, hands: 1, needs: [on-stands], source: s}
templates:
  made: {trigger: {when: made}, source: s, steps: [{title: t, work: drilling, minutes: 5, conditions: [on-stands]}]}
  bought: {trigger: {when: bought}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}
  moved: {trigger: {when: moved}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}
  cut: {trigger: {when: cut}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}
  welded: {trigger: {when: welded}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}
  link-made: {trigger: {when: link made}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}
  pipe-made: {trigger: {when: link made, of: [pipe]}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}
  adjusted: {trigger: {when: link adjusted}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}
  pipe-set: {trigger: {when: link adjusted, of: [pipe]}, source: s, steps: [{title: t, work: drilling, minutes: 40,
    splits: true}, {title: t, work: trial fit, minutes: 5, again: 0.2, redo: [1]}]}
spreads:
  drilling: {low: 0.8, high: 1.5, source: s}
checkpoints:
  leak:
    {title: t, group: leaks, triggers: [{when: opened, of: [brake]}, {when: entered, of: [on-stands]},
    {when: disturbed, of: [pedal, pipe, brakes]}],
    measure: m, limit: 1 to 2 mm, unit: mm, low: 1, high: 2, blocks: [road],
    conditions: [on-stands], source: s, caution: c}
settings:
  hot_conditions: {value: [on-stands], source: s}
  hot_clear: {value: [brakes], source: s}
  hot_reach_mm: {value: 300, source: s}
  limits_near_mm: {value: 60, source: s}
  cut_reach_mm: {value: 100, source: s}
  bare_reach_mm: {value: 50, source: s}
  tidy_min: {value: 10, source: s}
cautions:
  drilling: goggles
  leaks: paper
"""


def told(folder: Path, text: str) -> list[str]:
    """Findings as "line:column code message | hint"."""
    (folder / "all.yaml").write_text(text, encoding="utf-8")
    return [f"{f.place.line}:{f.place.column} {f.code} {f.message} | {f.hint}" for f in load_catalog(folder)[1]]


def test_the_small_catalog_is_sound_and_whole(tmp_path: Path) -> None:
    assert told(tmp_path, GOOD) == []
    catalog, _ = load_catalog(tmp_path)
    assert catalog.kinds["pedal"].needs == ("on-stands",)
    assert catalog.kinds["pedal"].name == "pedal"
    assert catalog.link_kinds["pipe"].across_mm == 5
    assert catalog.system_kinds["brake"].close_hands == 2
    assert catalog.conditions["wheels-off"].needs == ("on-stands",)
    assert catalog.templates["pipe-made"].trigger.of == ("pipe",)
    assert catalog.rules["leak"].high == 2
    assert (catalog.hot_reach_mm, catalog.tidy_min, catalog.hot_clear) == (300, 10, ("brakes",))
    drill, trial = catalog.templates["pipe-set"].steps
    assert (drill.splits, drill.again, trial.splits, trial.again, trial.redo) == (True, 0.0, False, 0.2, (1,))
    assert (catalog.spreads["drilling"].low, catalog.spreads["drilling"].high) == (0.8, 1.5)
    assert catalog.cautions == {"drilling": "goggles", "leaks": "paper"}


NO_MOVED = "no-fallback no template is for anything moved | write one with `when: moved` and no `of`"
NO_BOUGHT = "no-fallback no template is for anything bought | write one with `when: bought` and no `of`"
RING = (
    "needs-ring conditions need each other in a ring: `on-stands` needs `wheels-off` needs `on-stands` | "
    "take one of the `needs` out"
)
UNTOLD = (
    "limit-apart the limit of `leak` does not tell the number that its reading is held against | "
    "write the number into `limit`, in digits"
)
UNSOURCED = (
    "unsourced-number `drilling` has numbers but no `source` | "
    "write the publication with its clause, `common practice, no published source` or `starting guess`"
)
# What is written, what takes its place, the text at whose start the fault is told ("" for the folder), the fault.
SPOILT = [
    ("needs: [on-stands], opens: [brake], source: s}\nlinks", "needs: [on-stnds], opens: [brake], source: s}\nlinks",
     "on-stnds", "unknown-name no condition is called `on-stnds` | did you mean `on-stands`?"),
    ("opens: [brake], source: s}\nlinks", "opens: [break], source: s}\nlinks",
     "break]", "unknown-name no system kind is called `break` | did you mean `brake`?"),
    ("adjust_min: 0, needs: [on-stands], opens: [brake]", "adjust_min: 0, needs: [on-stands], opens: [breke]",
     "breke", "unknown-name no system kind is called `breke` | did you mean `brake`?"),
    ("    needs: [on-stands], source: s}\ncond", "    needs: [off-stands], source: s}\ncond",
     "off-stands", "unknown-name no condition is called `off-stands` | did you mean `on-stands`?"),
    ("conditions: [on-stands]}]}", "conditions: [onstands]}]}",
     "onstands", "unknown-name no condition is called `onstands` | did you mean `on-stands`?"),
    ("when: link made, of: [pipe]", "when: link made, of: [pedal]",
     "pedal]}, source", "unknown-name no link kind or group of links is called `pedal` | known: `brakes`, `pipe`"),
    ("when: opened, of: [brake]", "when: opened, of: [brakes]",
     "brakes]}, {when: entered", "unknown-name no system kind is called `brakes` | did you mean `brake`?"),
    ("when: entered, of: [on-stands]", "when: entered, of: [wheel-off]",
     "wheel-off]", "unknown-name no condition is called `wheel-off` | did you mean `wheels-off`?"),
    ("of: [pedal, pipe, brakes]", "of: [pedal, pipes, brakes]",
     "pipes,", "unknown-name no kind, link kind or group is called `pipes` | did you mean `pipe`?"),
    ("    conditions: [on-stands], source: s, caution", "    conditions: [stands], source: s, caution",
     "stands], source: s, caution", "unknown-name no condition is called `stands` | did you mean `on-stands`?"),
    ("hot_conditions: {value: [on-stands]", "hot_conditions: {value: [in-stands]",
     "in-stands", "unknown-name no condition is called `in-stands` | did you mean `on-stands`?"),
    ("hot_clear: {value: [brakes]", "hot_clear: {value: [breaks]",
     "breaks", "unknown-name no group, kind or link kind is called `breaks` | did you mean `brakes`?"),
    ("  drilling: goggles", "  driling: goggles",
     "driling", "unknown-name `driling` is no kind of work, no group and no condition | did you mean `drilling`?"),
    ("again: 0.2, redo: [1]", "again: 0.2, redo: [1, 2]",
     "2]}]}", "redo-not-before step 2 is done again with step 2, and does not come before it | steps count from 1"),
    ("again: 0.2, redo: [1]", "redo: [1]",
     "[1]}]}", "redo-for-nothing the step says what is done again, and not how likely that is | add `again: 0.3`"),
    ("  drilling: {low", "  drillin: {low",
     "drillin: {low", "unknown-work `drillin` is no kind of work known here | did you mean `drilling`?"),
    ("high: 1.5, source: s}", "high: 1.5}",
     "drilling: {low", UNSOURCED),
    ("low: 0.8, high: 1.5", "low: 1.2, high: 1.5",
     "1.2, high", "out-of-range `low` must be at most 1.0, found `1.2` | "),
    ("low: 1, high: 2", "low: 3, high: 2",
     "3, high", "out-of-range `leak` passes nothing: `low` 3 is above `high` 2 | swap them"),
    ("unit: mm, low", "low",
     "leak:", "missing-key `leak` has a number for its limit but no `unit` | add it"),
    ("limit: 1 to 2 mm", "limit: as told", "as told",
     UNTOLD),
    ("limit: 1 to 2 mm", "limit: 1 to 2 mm, also: [dry, dry]", "[dry",
     "limit-apart `leak` asks twice: dry | write it once, in `limit` or in `also`"),
    ("limit: 1 to 2 mm", 'limit: "1 to 2 mm, dry", also: [dry]', "[dry",
     "limit-apart `leak` asks twice: dry | write it once, in `limit` or in `also`"),
    ("limit: 1 to 2 mm", "limit: 1 mm or more, also: [2 mm at most]", "[2 mm",
     "limit-apart `leak` asks for its own number besides it: 2 mm at most | write what the number says into `limit`"),
    ("unit: mm, low: 1, high: 2,", "also: [dry],", "[dry",
     "limit-apart `leak` has no number, so yes says all of its limit | write what is in `also` into `limit`"),
    ("moved: {trigger: {when: moved}", "moved: {trigger: {when: bought}",
     "trigger: {when: bought}, source: s, steps: [{title: t, work: drilling, minutes: 5}]}\n  cut",
     "two-templates `moved` and `bought` are both for anything bought | keep one of the two"),
    ("moved: {trigger: {when: moved}", "moved: {trigger: {when: bought}", "", NO_MOVED),
    ("bought: {trigger: {when: bought}", "bought: {trigger: {when: bought, of: [pedal]}", "", NO_BOUGHT),
    ("minutes: 5, conditions: [on-stands]", "minutes: 5, demands: [limits fitted], conditions: [on-stands]",
     "[limits", "lone-limits `limits fitted` without `fitted` | demand both, or neither"),
    ("leave_min: 1, hands: 1, source: s}\n  wheels",
     "leave_min: 1, hands: 1, needs: [wheels-off], source: s}\n  wheels",
     "on-stands: {name", RING),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "at", "fault"), SPOILT)
def test_a_fault_is_told_at_its_place(tmp_path: Path, old: str, new: str, at: str, fault: str) -> None:
    assert GOOD.count(old) == 1
    text = GOOD.replace(old, new)
    line, column = 0, 0
    if at:
        before = text[: text.index(at)]
        line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
    findings = told(tmp_path, text)
    assert f"{line}:{column} {fault}" in findings
    # The one thing that can follow from another here: a template that changed its trigger leaves its old one bare.
    assert [f for f in findings if fault not in f and "no-fallback" not in f and "two-templates" not in f] == []


def test_an_id_in_two_files_is_refused_and_the_first_counts(tmp_path: Path) -> None:
    again = "knockon: 1\nkinds:\n  pedal: {group: brakes, freedom: stays, largest_mm: 1, source: s}\n"
    (tmp_path / "more.yaml").write_text(again, encoding="utf-8")
    assert told(tmp_path, GOOD) == [
        "3:3 double-id `pedal` is written already in all.yaml, line 3 | keep one of the two"
    ]
    assert load_catalog(tmp_path)[0].kinds["pedal"].freedom.value == "moves"


def test_settings_are_written_once(tmp_path: Path) -> None:
    settings = GOOD[GOOD.index("settings:") : GOOD.index("cautions:")]
    (tmp_path / "more.yaml").write_text("knockon: 1\n" + settings, encoding="utf-8")
    assert [t.split(" |")[0] for t in told(tmp_path, GOOD)] == [
        "2:1 double-id `settings` is written already in all.yaml, line 33"
    ]


def test_a_catalog_without_settings_says_so(tmp_path: Path) -> None:
    text = GOOD[: GOOD.index("settings:")]
    assert [t.split(" |")[0] for t in told(tmp_path, text)] == [
        "0:0 missing-key no file of the catalog holds `settings`"
    ]
    assert load_catalog(tmp_path)[0].hot_conditions == ()


def test_an_empty_folder_is_no_catalog(tmp_path: Path) -> None:
    assert "empty-catalog" in [f.code for f in load_catalog(tmp_path)[1]]


def test_one_bad_entry_leaves_the_others(tmp_path: Path) -> None:
    text = GOOD.replace("freedom: moves, largest_mm: 500", "freedom: movs, largest_mm: 500").replace(
        "disturbed, of: [pedal, pipe, brakes]", "disturbed, of: [pipe]"
    )
    findings = told(tmp_path, text)
    assert [f.split(" ", 2)[1] for f in findings] == ["unknown-choice"]
    catalog, _ = load_catalog(tmp_path)
    assert "pedal" not in catalog.kinds
    assert "pipe" in catalog.link_kinds
    assert "leak" in catalog.rules


def test_a_file_that_is_no_yaml_leaves_the_others(tmp_path: Path) -> None:
    (tmp_path / "broken.yaml").write_text("kinds: [\n", encoding="utf-8")
    assert [f.split(" ", 2)[1] for f in told(tmp_path, GOOD)] == ["yaml-syntax"]
    assert "pedal" in load_catalog(tmp_path)[0].kinds


def test_the_schema_for_editors_says_what_every_key_is_for() -> None:
    schema = CatalogFile.model_json_schema()
    blocks = [schema, *(d for d in schema["$defs"].values() if "properties" in d)]
    bare = [f"{b['title']}.{k}" for b in blocks for k, v in b["properties"].items() if not v.get("description")]
    assert len(blocks) > 10
    assert bare == []
