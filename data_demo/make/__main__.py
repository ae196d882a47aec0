"""``python -m data_demo.make OUT_DIR`` writes the demo facility's records into a folder."""

import argparse
from pathlib import Path

from data_demo.make.write import write_demo


def main(argv: list[str] | None = None):
    """Read the folder's name, write the demo there, say where."""
    parser = argparse.ArgumentParser(prog="python -m data_demo.make", description=__doc__)
    parser.add_argument("folder", type=Path, help="where to write, for example data_demo")
    folder = parser.parse_args(argv).folder
    write_demo(folder)
    print(f"The demo facility's records are in {folder}.")


if __name__ == "__main__":
    main()
