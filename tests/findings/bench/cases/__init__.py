"""What a careful mechanic says of measurements from the trade, tool by tool.

Each case was judged before it was worked out: the verdict, words that must be said, and words that must not. The source
stands beside it, or that it is common practice. ``tests/findings/bench/test_bench_judgments.py`` asks every tool.
"""
