package atomicfile

// CreateBy is Create with another way to link, for file systems that have none.
func CreateBy(path string, data []byte, link func(from, to string) error) error {
	s := thisSystem
	s.link = link
	return s.create(path, data)
}
