"""What of the caller's environment must not reach git, and the options that every run of git is given."""

import os

# The names that `git rev-parse --local-env-vars` prints: they tie git to one repository, in a hook maybe
# another one than the folder asked for. GIT_INDEX_FILE is among them; a hook hands it over as an argument.
_LOCAL = (
    "GIT_ALTERNATE_OBJECT_DIRECTORIES",
    "GIT_COMMON_DIR",
    "GIT_CONFIG",
    "GIT_CONFIG_COUNT",
    "GIT_CONFIG_PARAMETERS",
    "GIT_DIR",
    "GIT_GRAFT_FILE",
    "GIT_IMPLICIT_WORK_TREE",
    "GIT_INDEX_FILE",
    "GIT_INTERNAL_SUPER_PREFIX",
    "GIT_NO_REPLACE_OBJECTS",
    "GIT_OBJECT_DIRECTORY",
    "GIT_PREFIX",
    "GIT_REPLACE_REF_BASE",
    "GIT_SHALLOW_FILE",
    "GIT_WORK_TREE",
)
# These change what git prints, or clash with the fixed options below.
_TWISTING = (
    "GIT_ATTR_SOURCE",
    "GIT_DIFF_OPTS",
    "GIT_EXTERNAL_DIFF",
    "GIT_GLOB_PATHSPECS",
    "GIT_ICASE_PATHSPECS",
    "GIT_LITERAL_PATHSPECS",
    "GIT_NAMESPACE",
    "GIT_NOGLOB_PATHSPECS",
)

GLOBAL_OPTIONS = ("--no-pager", "--literal-pathspecs", "--no-replace-objects", "--no-optional-locks")


def clean_environment() -> None:
    """Drop the variables that would turn git away from the repository asked for or change its output."""
    for name in _LOCAL + _TWISTING:
        os.environ.pop(name, None)
