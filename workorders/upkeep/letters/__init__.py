"""Letters and mails that remind of service due: their words, their paper, and the work of a worker."""
