"""`cavewatch service`: printed, carried out on a system of its own, and undone."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cavewatch.cli import main
from cavewatch.cli.service.steps import Called, Removed, Written, answer
from cavewatch.core.errors import CavewatchError

DAIRY = '[dairy]\nname = "Test"\nzone = "UTC"\n[[place]]\nname = "cave"\nkind = "cave"\n'
ROOT = Path(__file__).parents[2]


@pytest.fixture
def config(tmp_path: Path) -> Path:
    path = tmp_path / "my.toml"
    path.write_text(DAIRY)
    return path


def call(config: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--config", str(config), "service", *words])


def test_a_dry_run_prints_every_file_and_command_and_does_nothing(config: Path) -> None:
    found = call(config, "install", "--dry-run", "--user", "root")
    assert found.exit_code == 0, found.output
    for shown in (
        "# /etc/sysusers.d/cavewatch.conf (root:root, mode 0644)",
        "$ systemd-sysusers /etc/sysusers.d/cavewatch.conf",
        "$ usermod --append --groups cavewatch root",
        f"# /etc/cavewatch/config.toml (root:cavewatch, mode 0640)\n{DAIRY}",
        "# /etc/modules-load.d/cavewatch.conf",
        "# /etc/udev/rules.d/60-cavewatch.rules",
        "# /etc/systemd/system/cavewatch.service",
        "[Service]\nType=notify",
        "$ systemctl enable cavewatch.service",
    ):
        assert shown in found.output
    assert not Path("/etc/systemd/system/cavewatch.service").exists()
    assert not Path("/etc/cavewatch").exists()


def test_removing_is_shown_too(config: Path) -> None:
    found = call(config, "remove", "--dry-run")
    assert found.exit_code == 0
    assert "$ systemctl disable --now cavewatch.service" in found.output
    assert "$ rm -f /etc/udev/rules.d/60-cavewatch.rules" in found.output
    assert "/etc/cavewatch/config.toml" not in found.output


def test_a_user_who_is_not_there_is_refused(config: Path) -> None:
    found = call(config, "install", "--dry-run", "--user", "no-such-maker")
    assert found.exit_code == 1
    assert "there is no user 'no-such-maker'" in found.output


def test_a_config_with_a_fault_makes_no_service(config: Path) -> None:
    config.write_text("[dairy]\nname = 7\n")
    found = call(config, "install", "--dry-run")
    assert found.exit_code == 1
    assert f"{config}, line 2" in found.output
    assert "$ systemctl" not in found.output


def test_a_path_that_would_lead_elsewhere_from_etc_is_told(config: Path) -> None:
    config.write_text(DAIRY + '[store]\npath = "d.sqlite"\n')
    found = call(config, "install", "--dry-run")
    assert found.exit_code == 1
    assert "write whole paths in it" in found.output


@pytest.mark.skipif(Path("/run/systemd/system").exists(), reason="systemd runs this machine")
def test_without_systemd_it_says_what_to_do_instead(config: Path) -> None:
    found = call(config, "remove")
    assert found.exit_code == 1
    assert "systemd does not run this machine" in found.output


def test_a_file_is_written_whole_with_its_mode_or_not_at_all(tmp_path: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("files of root are made by root")
    path = tmp_path / "deep" / "file.conf"
    before = os.umask(0o077)
    try:
        Written(path, "one\n", 0o640).do()
    finally:
        os.umask(before)
    assert path.read_text() == "one\n"
    assert path.parent.stat().st_mode & 0o777 == 0o755
    assert path.stat().st_mode & 0o777 == 0o640
    with pytest.raises(CavewatchError, match="cannot be written"):
        Written(path, "two\n", group="no-such-group").do()
    assert path.read_text() == "one\n"
    assert [each.name for each in path.parent.iterdir()] == ["file.conf"]
    Removed(path).do()
    Removed(path).do()
    assert not path.exists()


def test_a_command_that_fails_is_told_if_it_was_needed() -> None:
    with pytest.raises(CavewatchError, match=r"'sh -c .* failed: curdled"):
        Called(("sh", "-c", "echo curdled >&2; exit 3")).do()
    with pytest.raises(CavewatchError, match="failed"):
        Called(("no-such-program",)).do()
    Called(("no-such-program",), needed=False).do()
    assert answer("sh", "-c", "echo active; exit 3") == "active"
    assert answer("no-such-program") == ""


# A system of its own: its /etc is a copy, its /run is empty but for the sign of systemd, and what
# would reach the real systemd and udev is noted instead. Users and groups are made for real.
_SYSTEM = r"""
set -e
cp -a /etc $1/etc; mount --bind $1/etc /etc
mount -t tmpfs run /run; mkdir -p /run/systemd/system
mkdir $1/bin
for name in systemctl udevadm; do
    printf '#!/bin/sh\necho "%s $*" >> %s/calls\n' $name $1 > $1/bin/$name; chmod +x $1/bin/$name
done
PATH=$1/bin:$PATH
useradd --no-create-home maker
"""


def test_on_a_system_of_its_own_it_is_installed_shown_and_removed(config: Path) -> None:
    if os.geteuid() != 0 or not all(map(shutil.which, ("unshare", "useradd", "systemd-sysusers"))):
        pytest.skip("a system of its own takes root, unshare, useradd and systemd-sysusers")
    if subprocess.run(["unshare", "--mount", "true"], capture_output=True, check=False).returncode:
        pytest.skip("no file system of its own may be made here")
    folder = config.parent
    run = f"{sys.executable} {folder / 'run.py'}"
    (folder / "run.py").write_text(
        "import cavewatch.cli.service as service\n"
        "service.objections = lambda *_: ()  # wherever the tests' own Python is\n"
        "from cavewatch.cli import main\nmain()\n"
    )
    script = (
        _SYSTEM
        + f"""
    {run} --config {config} service install --user maker
    stat -c '%U %G %a' /etc/cavewatch/config.toml
    id -nG maker
    {run} service show
    {run} --config {config} service install --user maker > $1/again
    echo '# mine' >> /etc/cavewatch/config.toml
    {run} service install --user maker > $1/again
    tail -n 1 /etc/cavewatch/config.toml
    {run} --config {config} service install 2>&1 || true
    {run} service remove
    ls /etc/systemd/system/cavewatch.service /etc/udev/rules.d/60-cavewatch.rules 2>&1 || true
    cat $1/calls
    """
    )
    done = subprocess.run(
        ["unshare", "--mount", "bash", "-c", script, "-", str(folder)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "HOME": str(folder)},
    )
    assert done.returncode == 0, done.stderr
    told = done.stdout
    assert "maker is in the group cavewatch from the next login on" in told
    assert "root cavewatch 640\nmaker cavewatch\n" in told
    assert "store: /var/lib/cavewatch/cavewatch.sqlite" in told
    assert told.count(": as it should be") == 4
    assert "\n# mine\n" in told
    assert "/etc/cavewatch/config.toml is there already and says something else" in told
    assert told.count("No such file or directory") == 2
    calls = told[told.index("systemctl restart systemd-modules-load") :].splitlines()
    assert calls[:6] == [
        "systemctl restart systemd-modules-load.service",
        "udevadm control --reload",
        "udevadm trigger --subsystem-match=tty",
        "systemctl daemon-reload",
        "systemctl enable cavewatch.service",
        "systemctl restart cavewatch.service",
    ]
    assert "systemctl disable --now cavewatch.service" in calls
