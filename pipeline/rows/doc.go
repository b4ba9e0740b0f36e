// Package rows holds what the pipeline and the site both say of a row, one definition each: units and the exact numbers between them, the
// words of verdicts, and the table of findings. It knows nothing of the flow and imports nothing of the project; of the pipeline the site
// imports it alone.
//
// A query gives a finding as its code with amounts, units and names in columns. Finding.Sentence puts them into the words of the code, in
// US units for
// exports and the command line (US) or as another Writer writes them.
package rows
