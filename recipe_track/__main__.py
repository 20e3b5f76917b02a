"""The program; `--version` is answered before anything is loaded."""

import gc
import io
import os
import sys
import types


def _take_no_plugins() -> None:
    """Pydantic's plugins are not looked for; even switched off, what looks for them loads half of `email`."""
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    loader = types.ModuleType("pydantic.plugin._loader")
    vars(loader)["get_plugins"] = tuple  # none of them
    sys.modules.setdefault(loader.__name__, loader)


def main() -> None:
    """Run the command line and leave with its exit status."""
    if sys.argv[1:] == ["--version"]:
        from recipe_track import __version__

        print(f"recipe-track {__version__}")
        return
    for name in ("stdout", "stderr"):  # closed by the caller: nothing of one may end up in the other
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115
    gc.disable()  # one answer and the process ends: what is left over then is no use to anybody
    # Many small matrices: the threads of a linear algebra library cost more than they bring.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _take_no_plugins()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that knows no arrows still gets the figures
    try:
        from recipe_track.cli.main import run
    except KeyboardInterrupt:  # so early that nothing can be told yet
        sys.exit(130)
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
