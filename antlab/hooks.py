"""What a lower room asks for without knowing who does it; `antlab/__init__.py`, which does, puts it here."""

write_sheet = None  # draws a Plan on paper: (plan, path, force=…)
keep_antenna = None  # writes an Antenna into its file: (antenna, path, force=…)
