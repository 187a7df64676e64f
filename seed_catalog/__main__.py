"""`python -m seed_catalog` writes the seed catalogue as one catalogue/1 document."""

from __future__ import annotations

import json
import sys

from seed_catalog import load_catalogue

if __name__ == "__main__":
    json.dump(load_catalogue(), sys.stdout, ensure_ascii=False, indent=1)
    sys.stdout.write("\n")
