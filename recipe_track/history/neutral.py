"""What every run of git is told, whatever a configuration says: no foreign program, no network.

A repository may come out of a mail or a shared drive, and its own configuration names programs: to watch
files, to sign and verify, to merge, to reach a remote, to run at every turn (hooks). Git starts them while it
merely reads. So each run gets this whole set; the few programs that are wanted are named where they are
(own_programs, plain_drivers), by the person's own configuration or by us.

What is left are filters (`filter.<name>.clean`, `.smudge`, `.process`): without them a file is stored
otherwise than `git add` would, and each record would show as changed. Commands that write run them, and they
alone do.
"""

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

from recipe_track.history.own_commands import DRIVER, GIT_MERGE, merge_command

if TYPE_CHECKING:
    from recipe_track.history.repository import Repository

_OFF: tuple[tuple[str, str], ...] = (
    ("core.fsmonitor", "false"),
    # None of git's own hooks, `reference-transaction` and `post-index-change` among them: what is written was
    # checked by the command itself, and a hook that stops it half way would break what is promised of it.
    ("core.hooksPath", os.devnull),
    ("core.sshCommand", "false"),
    ("core.gitProxy", "false"),
    ("core.askPass", "false"),
    ("core.editor", "false"),
    ("core.pager", "cat"),
    ("core.alternateRefsCommand", "false"),
    ("credential.helper", ""),
    ("gc.auto", "0"),
    ("maintenance.auto", "false"),
    ("submodule.recurse", "false"),
    ("protocol.allow", "never"),
    ("log.showSignature", "false"),
    ("gpg.program", "gpg"),
    ("gpg.openpgp.program", "gpg"),
    ("gpg.x509.program", "gpgsm"),
    ("gpg.ssh.program", "ssh-keygen"),
    ("gpg.ssh.defaultKeyCommand", "false"),
)
OVERRIDES = tuple(word for key, value in _OFF for word in ("-c", f"{key}={value}"))
# The second is for git before 2.44, which knows nothing of the first: a partial clone finds every way closed,
# `ext::` and those that a configuration opens (`protocol.<name>.allow`) among them. A graft would show other
# parents than commits have, as a replacement would another content.
ENVIRONMENT = {
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_ALLOW_PROTOCOL": "none",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_GRAFT_FILE": os.devnull,
}
_OWN_SCOPES = ("system", "global")


def own_programs(repo: "Repository") -> tuple[str, ...]:
    """Options that name the programs of signatures as the person or the machine does, not the repository."""
    out = repo.git("config", "--show-scope", "-z", "--get-regexp", r"^gpg\.", ok=(0, 1))
    tokens = out.split(b"\0")
    options: list[str] = []
    for scope, entry in zip(tokens[::2], tokens[1::2], strict=False):
        key, _, value = entry.partition(b"\n")
        if scope.decode() in _OWN_SCOPES and key.lower().endswith((b".program", b".defaultkeycommand")):
            options += ["-c", f"{os.fsdecode(key)}={os.fsdecode(value)}"]
    return tuple(options)


def plain_drivers(repo: "Repository") -> tuple[str, ...]:
    """Options by which every merge driver is our own, or else git's merge of text."""
    out = repo.git("config", "-z", "--name-only", "--get-regexp", r"^merge\..*\.driver$", ok=(0, 1))
    keys = dict.fromkeys(os.fsdecode(key) for key in out.split(b"\0") if key)
    return tuple(word for key in keys for word in ("-c", f"{key}={_driver(key)}"))


def _driver(key: str) -> str:
    return merge_command() if key == f"merge.{DRIVER}.driver" else GIT_MERGE


def foreign(values: bytes) -> Iterator[str]:
    """What a key is set to but for these overrides, out of `config --show-scope -z --get-all`."""
    tokens = values.split(b"\0")
    for scope, value in zip(tokens[::2], tokens[1::2], strict=False):
        if scope != b"command":
            yield os.fsdecode(value)
