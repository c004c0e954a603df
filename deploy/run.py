"""Sets Coiltrail up where needed and serves it: ``python3 deploy/run.py --help``.

Only the version check may run on an old Python, so everything else is imported after it.
"""

import sys

import python_version

if __name__ == "__main__":
    python_version.insist()
    import serving

    sys.exit(serving.main(sys.argv[1:]))
