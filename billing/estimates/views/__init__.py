"""The pages of estimates and kits."""
