"""Kills a haul with SIGKILL at random moments, resumes it, and compares the end with an undisturbed run, byte for byte.

    python -m tests.kill_resume [KILLS] [SEED]

Between the kills no file of the result may be truncated: each is either the final text or not there.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FILES = 40


def sources(folder: Path) -> Path:
    """Small configs, each its own style; a folder and an archive of the same."""
    import zipfile

    shelf = folder / "shelf"
    shelf.mkdir()
    with zipfile.ZipFile(folder / "more.zip", "w") as archive:
        for n in range(FILES):
            text = (
                "#define WICK_GENERATION 2\n#include <wick2.h>\nconstexpr int blade_pixels = 132;\n"
                f"constexpr int pixels_per_metre = 144;\nusing lamp_{n} = blast_sleeve<sway<rgb<{n}, 120, 40>, "
                f"rgb<128, 40, {n}>, {900 + n}>, rgb<255, 255, 255>>;\n" + "// the tide turns\n" * 200
            )
            (shelf / f"lamp_{n:02}.h").write_text(text)
            archive.writestr(f"quay/lamp_{n:02}.h", text.replace("120", "121"))
    return shelf


def start(folder: Path, out: Path, resume: bool) -> subprocess.Popen[bytes]:
    """A haul in a process group of its own, so that a kill takes parent and workers together."""
    command = [
        sys.executable, "-m", "migrate.cli", "haul", str(folder / "shelf"), str(folder / "more.zip"), "--to", "wick4",
        "--out", str(out), "--workers", "2", *(["--resume"] if resume else []),
    ]  # fmt: skip
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(ROOT), *sys.path))}
    return subprocess.Popen(
        command, cwd=ROOT, env=environment, start_new_session=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )


def result(out: Path) -> dict[str, bytes]:
    """Every file of the result; temporary files of a killed write and the ledger are none of it."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file() and ".haul" not in path.relative_to(out).parts and not path.name.endswith(".part")
    }


def finish(folder: Path, out: Path, resume: bool) -> float:
    """Runs to the end, and says how long it took."""
    begun = time.monotonic()
    child = start(folder, out, resume)
    _, said = child.communicate()
    if child.returncode not in (0, 1):
        raise SystemExit(f"the haul ended with {child.returncode}: {said.decode()}")
    return time.monotonic() - begun


def killed(folder: Path, out: Path, after: float, everyone: bool) -> bool:
    """Starts or resumes the haul and kills it; False where it had ended before. `everyone`: its workers too."""
    resume = (out / ".haul" / "ledger.sqlite").exists()
    child = start(folder, out, resume)
    try:
        child.wait(after)
        ended = True
    except subprocess.TimeoutExpired:
        ended = False
        if everyone:
            os.killpg(child.pid, signal.SIGKILL)
        else:
            child.kill()
    child.communicate()
    return not ended


def trial(kills: int, seed: int, folder: Path, most_in_a_row: int = 6) -> str:
    """Kills and resumes until so many kills hit; every so often lets the haul end, and compares. Returns a summary."""
    chance = random.Random(seed)
    sources(folder)
    whole = finish(folder, folder / "undisturbed", False)
    expected = result(folder / "undisturbed")
    hits = rounds = 0
    while hits < kills:
        out = folder / f"round_{rounds}"
        rounds += 1
        for _ in range(min(most_in_a_row, kills - hits)):
            if not killed(folder, out, chance.uniform(0.1, whole), chance.random() < 0.7):
                break
            hits += 1
            for name, data in result(out).items() if out.exists() else ():
                if data != expected.get(name):
                    raise SystemExit(f"kill {hits}: {name} is not what it should be ({len(data)} bytes)")
        finish(folder, out, (out / ".haul" / "ledger.sqlite").exists())
        if result(out) != expected:
            raise SystemExit(f"after {hits} kills the resumed result differs from the undisturbed one")
        if list(out.rglob("*.part")):
            raise SystemExit("temporary files were left behind")
    told = f"{hits} kills in {rounds} hauls of {2 * FILES} files ({whole:.1f} s undisturbed)"
    return f"{told}: every result equal, byte for byte"


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        print(trial(int((sys.argv[1:] or ["50"])[0]), int((sys.argv[2:] or ["5"])[0]), Path(place)))
