"""The ground floor: pure calculation about engines and boats. No Django, no input or output."""
