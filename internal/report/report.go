// Package report writes fault summaries as documents: text for a terminal, CSV,
// JSON and one self-contained HTML file. It reads nothing and fetches nothing;
// whoever calls it opens, renames and closes the file.
//
// Every name, label, cue and caption is data: it can neither steer a terminal,
// nor start a formula in a spreadsheet, nor become markup. To show aliases in
// place of names, hand in tally.Summary.Aliased.
package report
