"""Set-up: a virtual environment from the hashed lock, and what the tests need from the system.

    tools/set_up.sh run            what the program needs
    tools/set_up.sh test           the same and the tests' packages, a browser, a PostgreSQL server
    tools/set_up.sh check          the same and the checkers, without browser and server

A stamp under `.setup/` holds a hash of what was installed, so a second run starts at once. Only the standard library is used here.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
PYTHON = ENVIRONMENT / "bin" / "python"
STAMPS = ROOT / ".setup"
LOCKS = {"run": "core.txt", "test": "test.txt", "check": "check.txt"}
COVERED_BY = {"core.txt": ("test.txt", "check.txt"), "test.txt": ("check.txt",), "check.txt": ()}
SYSTEM_PACKAGES = {"browser": "chromium", "PostgreSQL server": "postgresql"}


class SetUpError(Exception):
    """A step of the set-up did not work; the message says what to do."""


def main(targets: list[str]) -> int:
    """Set up each target named; 0 when all is in place."""
    unknown = [target for target in targets if target not in LOCKS]
    if unknown or not targets:
        print(f"set-up: unknown target {' '.join(unknown) or '(none)'}; give one or more of {', '.join(LOCKS)}", file=sys.stderr)
        return 2
    STAMPS.mkdir(exist_ok=True)
    try:
        system = start_system_packages() if "test" in targets else None
        make_environment()
        for name in dict.fromkeys(["core.txt", *(LOCKS[target] for target in targets)]):
            install_lock(name)
        install_project()
        compile_packages()
        if system:
            finish_system_packages(system)
    except SetUpError as failure:
        print(f"set-up: {failure}", file=sys.stderr)
        return 1
    return 0


def say(text: str) -> None:
    """One line about what is being done, at once."""
    print(f"set-up: {text}", flush=True)


def works(python: Path) -> bool:
    """Whether an environment's Python starts; one from another machine or a removed Python does not."""
    if not python.exists():
        return False
    return subprocess.run([python, "-c", "import pip"], capture_output=True, check=False).returncode == 0


def make_environment() -> None:
    """Make `.venv` unless it is there and works."""
    if works(PYTHON):
        return
    say(f"making a virtual environment with Python {sys.version.split()[0]}")
    run([sys.executable, "-m", "venv", "--clear", str(ENVIRONMENT)], "the virtual environment could not be made")


def install_lock(name: str) -> None:
    """Install one lock file, each package checked against its hashes.

    The builders are in `core.txt`, which comes first and holds wheels only: no builder without a hash is fetched for the others.
    """
    lock = ROOT / "requirements" / name
    if stamped(name, key_of(lock)) or any(stamped(wider, key_of(ROOT / "requirements" / wider)) for wider in COVERED_BY[name]):
        return
    say(f"installing Python packages ({name})")
    pip("install", "--no-compile", "--require-hashes", "--no-build-isolation", "--requirement", str(lock))
    stamp(name, key_of(lock))


def compile_packages() -> None:
    """Compile what was installed on all processors at once; pip would do it on one, and many first starts at once do it many times."""
    installed = packages() + "".join(path.read_text() for path in sorted(STAMPS.glob("*.txt.stamp")))
    if stamped("compiled", installed):
        return
    command = [str(PYTHON), "-m", "compileall", "-q", "-q", "-j", "0", "-x", r"/tests?/", packages()]
    subprocess.run(command, check=False)  # a template of some package that is no Python is no harm
    stamp("compiled", installed)


def packages() -> str:
    """The folder of installed packages."""
    return next(str(path) for path in (ENVIRONMENT / "lib").glob("python*/site-packages"))


def install_project() -> None:
    """Install this program itself, in place, so that the `scionary` command is there."""
    key = key_of(ROOT / "pyproject.toml")
    if stamped("project", key):
        return
    pip("install", "--no-deps", "--no-build-isolation", "--editable", str(ROOT))
    stamp("project", key)


def pip(*arguments: str) -> None:
    """Run pip inside the environment."""
    command = [str(PYTHON), "-m", "pip", "--disable-pip-version-check", "--no-input", "--quiet", *arguments]
    run(command, "Python packages could not be installed; see the lines above. Is this machine on line?")


def key_of(path: Path) -> str:
    """A hash of a file, of the place of the environment, and of the Python that it was made with."""
    about = f"{ENVIRONMENT}\n{(ENVIRONMENT / 'pyvenv.cfg').read_text() if ENVIRONMENT.exists() else ''}\n".encode()
    return hashlib.sha256(about + path.read_bytes()).hexdigest()


def stamped(name: str, key: str) -> bool:
    """Whether this very thing was installed before."""
    path = STAMPS / f"{name}.stamp"
    return path.exists() and path.read_text() == key


def stamp(name: str, key: str) -> None:
    """Remember what was installed."""
    (STAMPS / f"{name}.stamp").write_text(key)


def find_browser() -> Path | None:
    """The browser that tests use: the one that is named, else the one of the system."""
    named = os.environ.get("SCIONARY_BROWSER")
    if named:
        if not os.access(named, os.X_OK):
            raise SetUpError(f"SCIONARY_BROWSER is {named!r}, which is no program that can be started")
        return Path(named)
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    return Path(found) if found else None


def find_postgres() -> Path | None:
    """The folder of PostgreSQL's programs: the one that is named, else the newest of the system."""
    named = os.environ.get("SCIONARY_POSTGRES_BIN")
    if named:
        if not (Path(named) / "initdb").exists():
            raise SetUpError(f"SCIONARY_POSTGRES_BIN is {named!r}, where there is no initdb")
        return Path(named)
    versions = [path for path in Path("/usr/lib/postgresql").glob("[0-9]*") if (path / "bin" / "initdb").exists()]
    if versions:
        return max(versions, key=lambda path: float(path.name)) / "bin"
    found = shutil.which("initdb")
    return Path(found).parent if found else None


def missing_from_system() -> dict[str, str]:
    """What the tests need from the system and is not there, with the package that brings it."""
    present = {"browser": find_browser(), "PostgreSQL server": find_postgres()}
    return {what: SYSTEM_PACKAGES[what] for what, path in present.items() if path is None}


def start_system_packages() -> subprocess.Popen[bytes] | None:
    """Start installing what is missing, beside the Python packages; a clear refusal where that cannot be done."""
    missing = missing_from_system()
    if not missing:
        return None
    packages = list(missing.values())
    apt = shutil.which("apt-get")
    if apt is None or os.geteuid() != 0:
        raise SetUpError(how_to_install(missing))
    say(f"installing {' and '.join(packages)} with apt-get (details in .setup/apt.log)")
    script = f"{apt} update -q && {apt} install -y -q --no-install-recommends {' '.join(packages)}"
    with (STAMPS / "apt.log").open("wb") as log:
        environment = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
        return subprocess.Popen(["sh", "-c", script], stdin=subprocess.DEVNULL, stdout=log, stderr=subprocess.STDOUT, env=environment)


def how_to_install(missing: dict[str, str]) -> str:
    """What to type where this program may not install it."""
    return (
        f"the tests need a {' and a '.join(missing)}, not found. On Debian, type:\n"
        f"    sudo apt-get update && sudo apt-get install --no-install-recommends {' '.join(missing.values())}\n"
        "Elsewhere, set SCIONARY_BROWSER to the path of a Chromium browser and SCIONARY_POSTGRES_BIN to the folder that holds initdb."
    )


def finish_system_packages(running: subprocess.Popen[bytes]) -> None:
    """Wait for apt-get and see that what it brought works."""
    if running.wait() != 0:
        tail = "\n".join((STAMPS / "apt.log").read_text(errors="replace").splitlines()[-8:])
        raise SetUpError(f"apt-get failed:\n{tail}\nInstall by hand: {how_to_install(missing_from_system() or SYSTEM_PACKAGES)}")
    missing = missing_from_system()
    if missing:
        raise SetUpError(f"apt-get ended well, and yet {how_to_install(missing)}")
    browser = find_browser()
    if browser and subprocess.run([browser, "--version"], capture_output=True, check=False).returncode != 0:
        raise SetUpError(f"{browser} does not start. Set SCIONARY_BROWSER to the path of a Chromium browser that does.")


def run(command: list[str], failure: str) -> None:
    """Run a command, its messages shown; a failure in words."""
    if subprocess.run(command, stdin=subprocess.DEVNULL, check=False).returncode != 0:
        raise SetUpError(failure)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
