"""The guess of a lesson: what is asked, where it is entered and kept, and how it lies beside the answer."""
