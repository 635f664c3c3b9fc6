package atomicfile_test

import (
	"bufio"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// Tests that need a second process run themselves again in one, with the folder
// to work in as this variable of the environment.
const childFolder = "ATOMICFILE_TEST_FOLDER"

// A child is the test itself in another process. It begins its work when
// something is written to its input or the input ends.
type child struct {
	*exec.Cmd
	in  io.WriteCloser
	out *bufio.Scanner
}

func startChild(t *testing.T, folder string) *child {
	t.Helper()
	c := newChild(t, folder)
	if err := c.start(t); err != nil {
		t.Fatal(err)
	}
	return c
}

// newChild makes a child that is still to be started.
func newChild(t *testing.T, folder string) *child {
	t.Helper()
	c := &child{Cmd: exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")}
	c.Env = append(os.Environ(), childFolder+"="+folder)
	c.Stderr = os.Stderr
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.in, c.out = in, bufio.NewScanner(out)
	return c
}

// start starts the child, and ends it with the test.
func (c *child) start(t *testing.T) error {
	if err := c.Start(); err != nil {
		return err
	}
	t.Cleanup(func() {
		c.in.Close()
		c.Process.Kill()
		c.Wait()
	})
	return nil
}

// said waits for the child to say a word, and gives what follows it.
func (c *child) said(t *testing.T, word string) string {
	t.Helper()
	var other []string
	for c.out.Scan() {
		if rest, ok := strings.CutPrefix(c.out.Text(), word+" "); ok {
			return rest
		}
		other = append(other, c.out.Text())
	}
	t.Fatalf("the other process ended without saying %q. It said:\n%s", word, strings.Join(other, "\n"))
	return ""
}

// kill kills the child, and hands on what it had said until then and nobody has
// heard.
func (c *child) kill(t *testing.T, hear func(line string)) {
	t.Helper()
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	for c.out.Scan() {
		hear(c.out.Text())
	}
	c.Wait() // its error is that it was killed
}
