"""The call list: whom to call, about what, what was said last; and every call that was noted."""
