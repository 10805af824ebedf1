"""The pages of the register of instruments, above what is measured with them."""
