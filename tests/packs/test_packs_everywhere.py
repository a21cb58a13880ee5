"""A folder of packs of one's own serves the pages and the desk as it serves a move."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from migrate.cli import main
from tests.packs.test_second_family import PACKS

OLD = next(iter(sorted(p.name for p in PACKS[0].iterdir() if p.is_dir())))


def test_the_page_of_a_generation_of_ones_own(tmp_path: Path) -> None:
    given = ["packs", "page", OLD, "--packs", str(PACKS[0]), "-o", str(tmp_path)]
    result = CliRunner().invoke(main, given)
    assert result.exit_code == 0, result.output
    text = (tmp_path / f"{OLD}.html").read_text("utf-8")
    assert "beats a minute" in text and "Not drawn: no pack says what it means." in text and "data:image/png" in text


def test_the_desk_offers_and_moves_to_it() -> None:
    pytest.importorskip("starlette")
    pytest.importorskip("httpx")
    from starlette.testclient import TestClient

    from migrate.desk.app import create_app

    client = TestClient(create_app(8765, packs=PACKS), base_url="http://127.0.0.1:8765")
    assert f'value="{OLD}"' in client.get("/").text
    text = "#define WICK_GENERATION 2\n#include <wick2.h>\nusing lamp = power_sleeve<rgb<9, 0, 0>, 300, 450>;\n"
    asked = {"text": text, "to": OLD, "name": "quay.h", "pixels": 132, "pitch": 144}
    answer = client.post("/move", json=asked, headers={"Origin": "http://127.0.0.1:8765"})
    assert answer.status_code == 200 and answer.json()["styles"][0]["grade"] != "refused"


@pytest.mark.parametrize("command", [["packs", "page", "all"], ["packs", "list"], ["desk", "--no-browser"]])
def test_a_broken_pack_is_told_plainly(tmp_path: Path, command: list[str]) -> None:
    (tmp_path / "broken.pack").write_text("paint rgb(\n")
    result = CliRunner().invoke(main, [*command, "--packs", str(tmp_path)])
    assert result.exit_code == 2
    assert "`rehilt packs check` tells all that is wrong" in result.output
    assert "Traceback" not in result.output
