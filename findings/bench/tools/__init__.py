"""The tools of the Bench, one module a subject. Each module has ``TOOLS``; ``findings.bench.catalog`` collects them."""
