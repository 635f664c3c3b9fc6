package atomicfile

// CreateBy is Create with another way to link, for file systems that have none.
var CreateBy = create
