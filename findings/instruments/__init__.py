"""The register of the shop's own instruments, and what findings say of the one they were made with."""
