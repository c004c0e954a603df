"""Writes the lock files anew: ``python3 deploy/lock.py --help``."""

import sys

import python_version

if __name__ == "__main__":
    python_version.insist()
    import locking

    sys.exit(locking.main(sys.argv[1:]))
