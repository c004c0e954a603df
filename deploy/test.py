"""Sets everything up for the tests and runs all of them: ``python3 deploy/test.py --help``.

Only the version check may run on an old Python, so everything else is imported after it.
"""

import sys

import python_version

if __name__ == "__main__":
    python_version.insist()
    import testing

    sys.exit(testing.main(sys.argv[1:]))
