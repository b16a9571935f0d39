"""To be imported first: leaves out what makes each start a second longer and checks nothing of ours.

jsonschema, which comes with Jupyter, builds a whole grammar to check addresses in other alphabets by; without
it every other check is as before. Commands and pytest (pyproject.toml) begin with this.
"""

import sys

sys.modules.setdefault("rfc3987_syntax", None)
