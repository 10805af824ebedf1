"""The demo scenario: an invented shop, four years of its work, made through the same actions that people use."""
