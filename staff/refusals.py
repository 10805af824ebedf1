"""How an action says no. The envelope under the actions says it too, so that it stands a floor below."""

from commands.refusals import Conflict, Refused

__all__ = ["Conflict", "Refused"]
