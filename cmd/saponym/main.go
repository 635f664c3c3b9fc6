// Saponym compiles a soap formula into the lawful label of its bars.
package main

import (
	"os"

	"saponym/internal/cli"
)

func main() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
