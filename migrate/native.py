"""Compiles a config with its generation's own C++ headers, plays its styles over a scene and reads the frames back.

The text is compiled and then run, so it must be text that this program printed from a checked tree, never raw input:
a preprocessor directive or an initialiser may do anything. The caller guarantees that; this module only bounds what a
mistake can cost (time, memory, template depth, size of output) and leaves no file behind.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
import signal
import subprocess
import tempfile
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import numpy as np

from migrate.diagnostics import Diagnostic, Severity
from migrate.ir.facts import Blade
from migrate.source import SourceFile, Span

if TYPE_CHECKING:
    from numpy.typing import NDArray

_EVENTS = ("ignite", "retract", "clash", "blast", "lock", "drag", "melt")  # in the order of stage.h
_SENSORS = ("swing", "twist", "tilt", "sound")  # in the order of stage.h
_NAME = re.compile(r"(?:[A-Za-z_]\w*::)*[A-Za-z_]\w*\Z")
_PLAY_FLAGS = ("-O1", "-ffp-contract=off", "-w")
_CHECK_FLAGS = ("-fsyntax-only", "-pedantic-errors", "-Wall")
_NOWHERE = Span(0, 0)


class PlayedEvent(Protocol):
    """One event: times in microseconds (`end` None for an instant one), place and strength 0 to 1."""

    @property
    def event(self) -> str: ...
    @property
    def start(self) -> int: ...
    @property
    def end(self) -> int | None: ...
    @property
    def place(self) -> float: ...
    @property
    def strength(self) -> float: ...


class PlayedScene(Protocol):
    """What is needed of a scene: microseconds, frames a second, events in order, (time, value) knots of sensors."""

    @property
    def duration(self) -> int: ...
    @property
    def rate(self) -> int: ...
    @property
    def pixels(self) -> int | None: ...
    @property
    def per_metre(self) -> int | Fraction | None: ...
    @property
    def events(self) -> Sequence[PlayedEvent]: ...
    @property
    def sensors(self) -> Mapping[str, Sequence[tuple[int, float]]]: ...


@dataclass(frozen=True, slots=True)
class GenerationBuild:
    """How a generation's texts compile: `standard` is the value of -std (`c++11`); `prelude` precedes the config."""

    include_dirs: tuple[Path, ...]
    standard: str
    prelude: str = ""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one child may use: seconds, megabytes of memory, template depth, megabytes of frames, messages read."""

    compile_seconds: int = 120
    play_seconds: int = 60
    memory_mb: int = 3072
    template_depth: int = 512
    frames_mb: int = 512
    messages: int = 20


class NativeError(Exception):
    """Raised where there are no frames to return; `diagnostics` says why, its spans pointing into the config text.

    Codes: `no-compiler`, `compiler-limit`, `does-not-compile`, `style-name`, `no-blade`, `too-many-frames`,
    `play-limit`, `play-failed`.
    """

    def __init__(self, *diagnostics: Diagnostic) -> None:
        super().__init__("; ".join(f"[{one.code}] {one.message}" for one in diagnostics))
        self.diagnostics = diagnostics


def _failure(code: str, message: str, hint: str = "") -> NativeError:
    return NativeError(Diagnostic(code, "error", _NOWHERE, message, hint))


@dataclass(frozen=True, slots=True)
class Toolchain:
    """A C++ compiler: its path, and the flags that make it point at bytes."""

    compiler: str
    place_flags: tuple[str, ...] = ()

    @staticmethod
    @cache
    def find() -> Toolchain | None:
        """The first of g++ and clang++ on the path, or None (also where there is no POSIX shell to set limits)."""
        path = next((p for p in map(shutil.which, ("g++", "clang++")) if p), None)
        if path is None or os.name != "posix" or shutil.which("sh") is None:
            return None
        return Toolchain(path, _place_flags(path))


def _place_flags(compiler: str) -> tuple[str, ...]:
    """g++ from 11 on counts columns as they look on a screen, unless it is told to count bytes."""
    asked = subprocess.run([compiler, "-dumpversion"], capture_output=True, text=True, timeout=20, check=False)
    major = asked.stdout.strip().split(".")[0]
    gnu = "clang" not in Path(compiler).name and major.isdigit() and int(major) >= 11
    return ("-fdiagnostics-column-unit=byte",) if gnu else ()


def compile_and_play(
    config_text: bytes,
    style_names: Sequence[str],
    generation: GenerationBuild,
    scene: PlayedScene,
    blade: Blade,
    *,
    toolchain: Toolchain | None = None,
    limits: Limits = Limits(),
) -> Mapping[str, NDArray[np.uint8]]:
    """The duties of each named style over the scene: name -> (T, N, 3), frame k at `k * 1_000_000 // rate`.

    The caller guarantees that `config_text` was printed from a checked tree (see the module). The blade is what
    `blade` says, else what the scene says. What is compiled is kept for this process, so that a config can be played
    over many scenes. Raises NativeError.
    """
    wrong = [name for name in style_names if not _NAME.match(name)]
    if wrong:
        raise _failure("style-name", f"no name of a style: {wrong[0]!r}")
    pixels, per_metre = _blade(scene, blade)
    frames = (scene.duration * scene.rate + 999_999) // 1_000_000
    size = frames * pixels * 3
    if size * len(style_names) > limits.frames_mb << 20:
        raise _failure("too-many-frames", f"{len(style_names)} styles of {frames} frames exceed {limits.frames_mb} MB")
    if frames < 1 or not style_names:
        return {name: np.zeros((frames, pixels, 3), np.uint8) for name in style_names}
    program = _program(config_text, tuple(style_names), generation, _toolchain(toolchain), limits)
    with tempfile.TemporaryDirectory(prefix="play-") as folder:
        (Path(folder) / "scene").write_text(_written(scene, frames, pixels, per_metre), "ascii")
        _play(program, folder, size, limits)
        read = [np.fromfile(Path(folder) / f"{n}", np.uint8) for n in range(len(style_names))]
    return {name: one.reshape(frames, pixels, 3) for name, one in zip(style_names, read, strict=True)}


def check_syntax(
    config_text: bytes,
    generation: GenerationBuild,
    *,
    toolchain: Toolchain | None = None,
    limits: Limits = Limits(),
) -> list[Diagnostic]:
    """What the compiler says of the text under its generation's standard, `-pedantic-errors -Wall`; nothing is well.

    Codes `does-not-compile` and `compiler-warning`, at their places in the text. Raises NativeError where the
    compiler is missing (`no-compiler`) or meets a limit (`compiler-limit`).
    """
    chain = _toolchain(toolchain)
    with tempfile.TemporaryDirectory(prefix="check-") as folder:
        _write_sources(Path(folder), config_text, (), generation)
        command = [chain.compiler, *_CHECK_FLAGS, *_flags(chain, generation, limits), "main.cpp"]
        status, said = _run(command, folder, limits.compile_seconds, limits.memory_mb, 256)
        found = read_messages(said, config_text, limits.messages)
        if status != 0 and not any(one.severity == "error" for one in found):
            raise _failure("compiler-limit", f"the compiler ended with status {status}: {said.strip()[:200]}")
        return found


# ---- compiling ----------------------------------------------------------------------------------


def _toolchain(given: Toolchain | None) -> Toolchain:
    found = given or Toolchain.find()
    if found is None:
        raise _failure("no-compiler", "no C++ compiler was found", "install g++ or clang++")
    return found


def _flags(chain: Toolchain, generation: GenerationBuild, limits: Limits) -> list[str]:
    includes = [f"-I{folder.resolve()}" for folder in generation.include_dirs]
    bounds = [f"-ftemplate-depth={limits.template_depth}", "-fno-diagnostics-show-caret"]
    return [f"-std={generation.standard}", *chain.place_flags, *bounds, *includes]


def _write_sources(folder: Path, config: bytes, names: Sequence[str], generation: GenerationBuild) -> None:
    (folder / "config.h").write_bytes(config)
    (folder / "main.cpp").write_text(_main(names, generation), "utf-8")


def _main(names: Sequence[str], generation: GenerationBuild) -> str:
    """The program: plays every style of the scene file args[1] into a file of the folder args[2], named by its number.

    A style is named from the global namespace, so that no name of the program or of a prelude hides it.
    """
    out = [generation.prelude, '#include "config.h"']
    if not names:
        return "\n".join(out) + "\n"
    for n, name in enumerate(names):
        out.append(f"static bool native_play_{n}(const ::stage::Scene& native_scene, const char* native_path) {{")
        out.append(f"  return ::stage::perform< ::{name} >(native_scene, native_path);\n}}")
    out.append("int main(int native_count, char** native_args) {\n  ::stage::Scene native_scene;")
    out.append("  if (native_count != 3 || !native_scene.read(native_args[1])) return 2;")
    out.append("  const ::std::string native_folder(native_args[2]);")
    out += [
        f'  if (!native_play_{n}(native_scene, (native_folder + "/{n}").c_str())) return 3;' for n in range(len(names))
    ]
    out.append("  return 0;\n}\n")
    return "\n".join(out)


class _Programs:
    """The programs compiled in this process, by content; their folder goes when the process ends."""

    most = 64

    def __init__(self) -> None:
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._known: OrderedDict[str, Path] = OrderedDict()

    def get(self, key: str) -> Path | None:
        if key in self._known:
            self._known.move_to_end(key)
        return self._known.get(key)

    def keep(self, key: str, built: Path) -> Path:
        if self._folder is None:
            self._folder = tempfile.TemporaryDirectory(prefix="programs-")
        self._known[key] = Path(shutil.move(built, Path(self._folder.name) / key))
        if len(self._known) > self.most:
            self._known.popitem(last=False)[1].unlink(missing_ok=True)
        return self._known[key]


_programs = _Programs()


def _key(config: bytes, names: tuple[str, ...], generation: GenerationBuild, chain: Toolchain, limits: Limits) -> str:
    digest = hashlib.sha256(repr((names, generation, chain, limits.template_depth)).encode())
    for folder in generation.include_dirs:
        for header in sorted(folder.rglob("*.h")):
            digest.update(header.read_bytes())
    digest.update(config)
    return digest.hexdigest()


def _program(
    config: bytes, names: tuple[str, ...], generation: GenerationBuild, chain: Toolchain, limits: Limits
) -> Path:
    key = _key(config, names, generation, chain, limits)
    known = _programs.get(key)
    if known is not None:
        return known
    with tempfile.TemporaryDirectory(prefix="build-") as folder:
        _write_sources(Path(folder), config, names, generation)
        command = [chain.compiler, *_PLAY_FLAGS, *_flags(chain, generation, limits), "main.cpp", "-o", "program"]
        status, said = _run(command, folder, limits.compile_seconds, limits.memory_mb, 256)
        if status == 0:
            return _programs.keep(key, Path(folder) / "program")
    errors = [one for one in read_messages(said, config, limits.messages) if one.severity == "error"]
    if not errors:
        raise _failure("compiler-limit", f"the compiler ended with status {status}: {said.strip()[:200]}")
    raise NativeError(*errors)


# ---- playing ------------------------------------------------------------------------------------


def _blade(scene: PlayedScene, blade: Blade) -> tuple[int, float]:
    pixels = blade.pixels if blade.pixels is not None else scene.pixels
    per_metre = blade.per_metre if blade.per_metre is not None else scene.per_metre
    if pixels is None or per_metre is None or pixels < 1:
        raise _failure("no-blade", "neither the blade nor the scene says how many pixels there are, and how dense")
    return pixels, float(per_metre)


def _written(scene: PlayedScene, frames: int, pixels: int, per_metre: float) -> str:
    """The scene in the lines that stage.h reads."""
    out = [f"blade {pixels} {per_metre!r}", f"clock {frames} 1000000 {scene.rate}"]
    for one in scene.events:
        end = one.start if one.end is None else one.end
        out.append(f"event {_EVENTS.index(one.event)} {one.start} {end} {float(one.place)!r} {float(one.strength)!r}")
    for name, curve in scene.sensors.items():
        out += [f"sensor {_SENSORS.index(name)} {time} {float(value)!r}" for time, value in curve]
    return "\n".join(out) + "\n"


def _play(program: Path, folder: str, size: int, limits: Limits) -> None:
    command = [str(program), "scene", "."]
    status, said = _run(command, folder, limits.play_seconds, limits.memory_mb, (size >> 20) + 2, code="play-limit")
    if status != 0:
        raise _failure("play-failed", f"the compiled styles ended with status {status}: {said.strip()[:200]}")


def _run(
    command: Sequence[str], folder: str, seconds: int, memory_mb: int, file_mb: int, *, code: str = "compiler-limit"
) -> tuple[int, str]:
    """Runs a child in `folder` under limits, and returns its status and the first 256 kB of what it said.

    The limits are set by a shell that becomes the child: code between fork and exec is unsafe beside threads.
    """
    blocks = file_mb * 2048  # of 512 bytes, as POSIX counts them
    script = f'ulimit -t {seconds}; ulimit -f {blocks}; ulimit -v {memory_mb * 1024} 2>/dev/null; exec "$0" "$@"'
    said = Path(folder) / "said"
    environment = {"PATH": os.environ.get("PATH", os.defpath), "LC_ALL": "C", "TMPDIR": folder}
    with said.open("wb") as log:
        child = subprocess.Popen(
            ["sh", "-c", script, *command],
            cwd=folder, env=environment, stdin=subprocess.DEVNULL, stdout=log, stderr=log, start_new_session=True,
        )  # fmt: skip
        try:
            status = child.wait(timeout=seconds)
        except subprocess.TimeoutExpired:
            raise _failure(code, f"stopped after {seconds} s") from None
        finally:
            if child.returncode is None:
                os.killpg(child.pid, signal.SIGKILL)
                child.wait()
    with said.open("rb") as log:
        return status, log.read(1 << 18).decode("utf-8", "replace")


# ---- what the compiler says ---------------------------------------------------------------------

_MESSAGE = re.compile(
    r"(?P<file>[^\s:][^:]*):(?P<line>\d+):(?:(?P<column>\d+):)? (?P<kind>(?:fatal )?error|warning|note): (?P<text>.*)"
)
_CONTEXT = re.compile(r"(?:In file included from|\s+from)? ?config\.h:(?P<line>\d+)(?:[:,](?P<column>\d+))?")
_SENTENCE = re.compile(r"\w*_error_(\w+)<false>")


def read_messages(said: str, config_text: bytes, most: int = 20) -> list[Diagnostic]:
    """The first `most` errors and warnings in a compiler's output, each placed in the config text.

    A message about a header is placed where the config made the header say it: g++ tells that before the message,
    clang++ in a note after it. What lies nowhere in the config has the empty span at its start.
    """
    source = SourceFile("config.h", config_text)
    out: list[Diagnostic] = []
    context = _NOWHERE
    for line in said.splitlines():
        if (message := _MESSAGE.match(line)) is None:
            context = _span(source, led) if (led := _CONTEXT.match(line)) else context
            continue
        at = _span(source, message) if Path(message["file"]).name == "config.h" else _NOWHERE
        if message["kind"] == "note":
            if out and out[-1].span == _NOWHERE and at != _NOWHERE:
                out[-1] = _message(out[-1].severity, at, out[-1].message)
            continue
        severity: Severity = "warning" if message["kind"] == "warning" else "error"
        out.append(_message(severity, at if at != _NOWHERE else context, _clean(message["text"])))
        context = _NOWHERE
    found = list(dict.fromkeys(out))
    if len(found) > most:  # an error is worth more than a warning before it
        errors = [one for one in found if one.severity == "error"][:most]
        warnings = [one for one in found if one.severity != "error"][: most - len(errors)]
        found = [one for one in found if one in errors or one in warnings]
    return found


def _message(severity: Severity, span: Span, text: str) -> Diagnostic:
    return Diagnostic("does-not-compile" if severity == "error" else "compiler-warning", severity, span, text)


def _span(source: SourceFile, found: re.Match[str]) -> Span:
    """One byte at the place that a message names; the columns of compilers count bytes from 1."""
    lines = source.data.split(b"\n")
    line = min(int(found["line"]), len(lines)) - 1
    start = sum(len(one) + 1 for one in lines[:line])
    column = min(int(found["column"] or 1) - 1, len(lines[line]))
    return Span(start + column, min(start + column + 1, len(source.data)))


def _clean(text: str) -> str:
    """A message as a sentence: an error type's name is read as its words, the marks of assertions and options go."""
    sentence = _SENTENCE.search(text)
    if sentence is not None:
        return sentence[1].replace("_", " ")
    text = re.sub(r"^#error |^static(?:_| )assert(?:ion)? failed(?: due to requirement '.*?')?:? ", "", text)
    return re.sub(r" \[-[\w+=-]+\]$", "", text).strip('"')
