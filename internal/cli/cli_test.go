package cli_test

import (
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"saponym/internal/cli"
)

func TestMain(m *testing.M) {
	all := indexed{M: m}
	if filepath.Base(os.Args[0]) != "saponym" { // the tests, and not the program in one of them
		// The index of the batches is not to go where that of the user is.
		cache, err := os.MkdirTemp("", "saponym-cache-")
		if err == nil {
			err = os.Setenv("XDG_CACHE_HOME", cache)
		}
		if err != nil {
			panic(err)
		}
		all.cache = cache
	}
	testscript.Main(all, map[string]func(){
		"saponym": func() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// An indexed is all tests, with the folder of their indexes.
type indexed struct {
	*testing.M
	cache string
}

// Run runs the tests and takes the folder away.
func (m indexed) Run() int {
	defer os.RemoveAll(m.cache)
	return m.M.Run()
}

// Each promise of the command line is a script, named after the promise.
func TestPromises(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("testdata", "script"),
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": status,
		},
		Setup: func(env *testscript.Env) error {
			env.Setenv("XDG_CACHE_HOME", filepath.Join(env.WorkDir, ".cache"))
			return nil
		},
		UpdateScripts: os.Getenv("UPDATE_SCRIPTS") != "",
	})
}

// status runs a command and compares its exit code, which exec cannot: "status 2
// saponym frob".
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status CODE COMMAND [ARGUMENT…]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	if exit, ok := err.(interface{ ExitCode() int }); ok {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("%q ended with status %d, want %d", args[1:], got, want)
	}
}
