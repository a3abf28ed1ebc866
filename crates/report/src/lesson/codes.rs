//! One page for every code of a lesson's diagnostic.

giveway_scenario::code_pages! {
    "E001": "not TOML", "The lesson breaks the rules of TOML at this place: a quote is missing, a bracket is not closed, a line is not `key = value`. All such places are shown at once.", "title = What the bolts do", "title = \"What the bolts do\"";
    "E010": "key or kind of value", "The key is not known at this place, a key is missing, or the value is of another kind than wanted; the message says which, and what is known. All unknown keys are shown at once.", "[[case]]\nquestoin = \"Does it let go?\"", "[[case]]\nquestion = \"Does it let go?\"";
    "E020": "text or value", "A text is empty, too long for its place on the page or the handout, or holds a character that cannot be seen; a word is none of the choices; a case names both a scenario and a record or neither, or no other case beside it.", "[[case]]\nview = \"moon\"", "[[case]]\nview = \"side\"";
}
