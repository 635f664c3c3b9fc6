package scene

import "saponym/internal/day"

// A Document is what a back end writes to a file.
type Document struct {
	Title    string
	Author   string // the maker, as on the label
	Language string // BCP 47, such as "en"
	Date     day.Day
	Sheets   []Sheet
}
