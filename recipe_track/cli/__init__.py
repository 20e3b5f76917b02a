"""Commands: the only exit codes and the only writers to stdout and stderr."""
