"""Any text, for tests that are handed at random what somebody typed."""

from hypothesis import strategies as st

# All letters but halves of one, as st.text() has them; named by a codec they cost each process two seconds.
LETTERS = st.characters(exclude_categories=["Cs"])
