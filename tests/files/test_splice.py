"""Edits by splice on random files: every comment outside the edit stays, and the data is what the edit asks for.

The expected data is made here on what PyYAML's own safe loader gives, not with the room's reader; the expected text is
checked by its comments, each of which is unique, and by what is common to the old text and the new at both ends.
"""

import copy
import random
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from planner.files import Append, Change, Drop, Edit, KeyPath, Plain, Put, SpliceError, spliced, write_whole

WORDS = ["seat", "bulkhead", "a b", "620 mm +/- 5", "yes please", "it's", 'say "no"', "x: y", "# no", "- dash", "", "é"]


class Writer:
    """Writes random data as YAML in mixed styles with numbered comments."""

    def __init__(self, dice: random.Random) -> None:
        self.dice = dice
        self.count = 0

    def comment(self) -> str:
        self.count += 1
        return f"#c{self.count}#"

    def tail(self) -> str:
        return f"  {self.comment()}" if self.dice.random() < 0.3 else ""

    def scalar(self, value: Plain) -> str:
        if isinstance(value, str):
            if re.fullmatch(r"[a-z]+( [a-z]+)?", value) and self.dice.random() < 0.6:
                return value
            if "\n" in value or self.dice.random() < 0.5:
                return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
            return "'" + value.replace("'", "''") + "'"
        return (
            {None: "null", True: "true", False: "false"}.get(value, repr(value))
            if not isinstance(value, int) or isinstance(value, bool)
            else str(value)
        )

    def flow(self, value: Plain) -> str:
        dice = self.dice
        gap = dice.choice(["", " "])
        if isinstance(value, dict):
            inner = ", ".join(f"{k}: {self.flow(v)}" for k, v in value.items())
            return "{" + gap + inner + gap + "}"
        if isinstance(value, list):
            comma = "," if value and dice.random() < 0.2 else ""
            return "[" + gap + ", ".join(self.flow(v) for v in value) + comma + gap + "]"
        return self.scalar(value)

    def block(self, value: Plain, indent: int) -> list[str]:
        pad, lines = " " * indent, []
        pairs = [(f"{k}:", v) for k, v in value.items()] if isinstance(value, dict) else [("-", v) for v in value]
        for head, item in pairs:
            if self.dice.random() < 0.2:
                lines.append(f"{pad}{self.comment()} on its own")
            if self.dice.random() < 0.1:
                lines.append("")
            if isinstance(item, (dict, list)) and item and self.dice.random() < 0.6:
                if head == "-" and isinstance(item, dict) and self.dice.random() < 0.7:
                    inner = self.block(item, indent + 2)
                    while inner and inner[0].strip()[:1] in {"#", ""}:
                        inner.pop(0)
                    lines += [f"{pad}- {inner[0].lstrip()}", *inner[1:]]
                else:
                    lines += [f"{pad}{head}{self.tail()}", *self.block(item, indent + self.dice.choice([1, 2, 4]))]
            else:
                lines.append(f"{pad}{head} {self.flow(item)}{self.tail()}")
        return lines


def some_data(dice: random.Random, depth: int = 0) -> Plain:
    roll = dice.random()
    if depth == 0 or (roll < 0.35 and depth < 4):
        keys = dice.sample(["a", "bb", "part", "at", "kind", "from", "over", "z9"], dice.randrange(1, 6))
        return {k: some_data(dice, depth + 1) for k in keys}
    if roll < 0.55 and depth < 4:
        return [some_data(dice, depth + 1) for _ in range(dice.randrange(4))]
    return dice.choice([1, -3, 2.5, True, False, None, *WORDS])


def ways(data: Plain, path: KeyPath = ()) -> Iterator[KeyPath]:
    yield path
    if isinstance(data, dict):
        for key, value in data.items():
            yield from ways(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from ways(value, (*path, index))


def at(data: Any, path: KeyPath) -> Any:  # noqa: ANN401  # plain data of any depth
    for key in path:
        data = data[key]
    return data


def some_edit(dice: random.Random, data: Plain) -> tuple[Edit, Plain]:
    """A random edit and the data it should lead to."""
    data = copy.deepcopy(data)
    path = dice.choice([p for p in ways(data) if p])
    new = some_data(dice, dice.choice([2, 4]))
    held = at(data, path)
    kind = dice.choice(["change", "put", "append", "drop"])
    if kind == "put" and isinstance(held, dict):
        held["fresh"] = new
        return Put(path, "fresh", new), data
    if kind == "append" and isinstance(held, list):
        held.append(new)
        return Append(path, new), data
    holder = at(data, path[:-1])
    if kind == "drop":
        del holder[path[-1]]
        return Drop(path), data
    holder[path[-1]] = new
    return Change(path, new), data


def comments(text: str) -> list[str]:
    return re.findall(r"#c\d+#", text)


def run(seed: int) -> bool:
    """One random file and edit; whether it could be made."""
    dice = random.Random(seed)
    writer = Writer(dice)
    data = some_data(dice)
    newline = dice.choice(["\n", "\n", "\r\n"])
    text = newline.join(writer.block(data, 0)) + dice.choice([newline, "", newline + "# c at the end" + newline])
    assert yaml.safe_load(text) == data, text
    edit, wanted = some_edit(dice, data)
    try:
        new = spliced(text, [edit])
    except SpliceError:
        return False
    assert yaml.safe_load(new) == wanted, (text, edit, new)
    left = comments(new)
    if isinstance(edit, (Put, Append)) or (
        isinstance(edit, Change) and not isinstance(at(data, edit.path), (dict, list))
    ):
        assert left == comments(text), (text, edit, new)
        at_front = next(
            (i for i, (a, b) in enumerate(zip(text, new, strict=False)) if a != b), min(len(text), len(new))
        )
        cut = len(text) - at_front
        if isinstance(edit, (Put, Append)):
            assert new[len(new) - cut :] == text[at_front:] or new.endswith(text[at_front:].lstrip("}] "))
    else:
        assert [c for c in comments(text) if c in left] == left
    return True


def test_random_edits_change_nothing_else() -> None:
    done = sum(run(seed) for seed in range(400))
    assert done >= 392, f"only {done} of 400 edits could be made"


@pytest.mark.slow
def test_two_thousand_random_edits() -> None:
    done = sum(run(seed) for seed in range(1000, 3000))
    print(f"{done} of 2000 edits made, the rest refused")
    assert done >= 1960


def test_a_file_as_owners_write_them() -> None:
    text = (
        "parts:\n"
        "  # the seat is bolted through the floor\n"
        "  seat: {at: [1200, 300, 200], mass: 9 kg}   # weighed\n"
        "  tank:\n"
        "    at: [2000, 0, 400]  # to its middle\n"
        "    kind: fuel-tank\n"
        "\n"
        "  # ---- electrics\n"
        "  battery: {at: [1, 2, 3]}\n"
    )
    new = spliced(
        text,
        [
            Change(("parts", "seat", "at"), [1210, 300, 200]),
            Put(("parts", "tank"), "mass", "11 kg"),
            Drop(("parts", "battery")),
            Put(("parts",), "coil", {"at": [4, 5, 6]}),
        ],
    )
    assert new == (
        "parts:\n"
        "  # the seat is bolted through the floor\n"
        "  seat: {at: [1210, 300, 200], mass: 9 kg}   # weighed\n"
        "  tank:\n"
        "    at: [2000, 0, 400]  # to its middle\n"
        "    kind: fuel-tank\n"
        "    mass: 11 kg\n"
        "  coil: {at: [4, 5, 6]}\n"
        "\n"
        "  # ---- electrics\n"
    )


@pytest.mark.parametrize(
    ("text", "edit"),
    [
        ("a: &x 1\nb: *x\n", Change(("a",), 2)),
        ("a: 1\na: 2\n", Change(("a",), 3)),
        ("a: [1\n", Change(("a",), 2)),
        ("a: 1\n", Change(("b",), 2)),
        ("a: 1\n", Put((), "a", 2)),
        ("a: 1\n", Append(("a",), 2)),
        ("a: 1\n", Drop(())),
    ],
)
def test_what_cannot_be_done_cleanly_is_refused(text: str, edit: Edit) -> None:
    with pytest.raises(SpliceError):
        spliced(text, [edit])


def test_a_file_is_written_whole_and_keeps_its_rights(tmp_path: Path) -> None:
    target = tmp_path / "vehicle.yaml"
    target.write_bytes(b"a: 1\r\n")
    target.chmod(0o640)
    write_whole(target, "a: 2\r\n")
    assert target.read_bytes() == b"a: 2\r\n"
    assert target.stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["vehicle.yaml"]
