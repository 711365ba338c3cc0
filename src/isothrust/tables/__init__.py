"""Tolerant text tables, and writes that leave either the old file or the new one."""
