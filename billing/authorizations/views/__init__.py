"""The pages of authorizations and of deferred work."""
