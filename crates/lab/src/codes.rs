//! One page for every code of a laboratory file's diagnostic.

giveway_scenario::code_pages! {
    "L001": "not TOML", "The file breaks the rules of TOML at this place: a quote is missing, a bracket is not closed, a line is not `key = value`. All such places are shown at once.", "[event]\nthreshold = 0.5 gn", "[event]\nthreshold = \"0.5 gn\"";
    "L010": "key or kind of value", "The key is not known in this section, a key is missing, or the value is of another kind than wanted; the message says which, and what is known. All such places are shown at once, with what else is wrong.", "[event]\nthreshhold = \"0.5 gn\"", "[event]\nthreshold = \"0.5 gn\"";
    "L020": "value", "The value is not possible here: a quantity without its unit or in a unit of something else, a word that is none of the choices, a range that does not run upward, a number that no run gives.", "[sensor]\nahead = \"0.2 kg\"", "[sensor]\nahead = \"0.2 m\"";
    "L030": "something is missing", "What is needed for such a file is not given, or parts of it do not go together; the message says what.", "# no channel measures acceleration-x", "[[channel]]\ncolumn = \"ax\"\nmeasures = \"acceleration-x\"\nunit = \"g\"";
    "L040": "record", "The laboratory's table is not as its description says, or cannot be used: a column is missing, a cell is no number, the clock does not run forward, a channel is cut off at its full scale, there is no quiet part or no blow. The message names line and channel.", "time,ax\n0.000,0.1\n0.000,0.2", "time,ax\n0.000,0.1\n0.001,0.2";
}
