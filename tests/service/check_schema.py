"""Holds JSON files to a schema: check_schema.py SCHEMA FILE...; exit 77 where python3-jsonschema is not installed."""
import json
import sys

try:
    import jsonschema
except ImportError:
    sys.exit(77)

with open(sys.argv[1]) as file:
    schema = json.load(file)
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)
wrong = 0
for path in sys.argv[2:]:
    with open(path) as file:
        for error in validator.iter_errors(json.load(file)):
            print(f"{path}: {'/'.join(map(str, error.absolute_path))}: {error.message[:300]}")
            wrong += 1
sys.exit(1 if wrong else 0)
