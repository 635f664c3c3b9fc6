package register_test

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"saponym/internal/formula"
	"saponym/internal/register"
)

// Tests that need a second process run themselves again in one, with the folder to work in
// as this variable of the environment.
const childFolder = "REGISTER_TEST_FOLDER"

// killRounds is the variable that says how many processes are killed in a test.
const killRounds = "SAPONYM_KILL_ROUNDS"

// A child is the test itself in another process. It begins its work when its input ends.
type child struct {
	*exec.Cmd
	in  io.WriteCloser
	out *bufio.Scanner
}

// startChildren starts processes, and ends them with the test.
func startChildren(t *testing.T, folder string, n int) []*child {
	t.Helper()
	var children []*child
	for i := range n {
		c := &child{Cmd: exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")}
		c.Env = append(os.Environ(), childFolder+"="+folder, "REGISTER_TEST_NAME="+strconv.Itoa(i))
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
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			c.in.Close()
			c.Process.Kill()
			c.Wait()
		})
		children = append(children, c)
	}
	return children
}

// work lets children begin at the same time, and gives what all of them say after a word.
func work(t *testing.T, children []*child, word string) []string {
	t.Helper()
	var all []string
	for _, c := range children {
		c.in.Close()
	}
	for _, c := range children {
		for c.out.Scan() {
			if rest, ok := strings.CutPrefix(c.out.Text(), word+" "); ok {
				all = append(all, rest)
			} else if c.out.Text() != "PASS" {
				t.Log(c.out.Text())
			}
		}
		if err := c.Wait(); err != nil {
			t.Errorf("another process: %v", err)
		}
	}
	return all
}

// inChild gives the folder to work in, in a child that may begin.
func inChild(t *testing.T) (folder string, ok bool) {
	t.Helper()
	if folder, ok = os.LookupEnv(childFolder); ok {
		if _, err := io.Copy(io.Discard, os.Stdin); err != nil {
			t.Fatal(err)
		}
	}
	return folder, ok
}

// Two processes that begin batches of one day at the same time never get the same code, and
// whoever sees a live file finds the frozen one.
func TestProcessesBegin(t *testing.T) {
	const each = 100
	form := codes(t, "codes: {pattern: YYDDD-NNN}\n")
	if folder, ok := inChild(t); ok {
		for range each {
			s := startOfBars(t)
			s.Documents = map[string]string{"formulas/clover-oat.yaml": "name: Clover\n"}
			fmt.Println("began", begin(t, folder, form, s).Code)
		}
		return
	}
	folder := t.TempDir()
	children := startChildren(t, folder, 2)
	ended, alone := make(chan bool), make(chan string, 1)
	go func() { // looks on all the time
		defer close(alone)
		for {
			live, _ := filepath.Glob(filepath.Join(folder, "batches", "2026", "*.yaml"))
			for _, file := range live {
				if formula.IsFrozen(file) {
					continue
				}
				if _, err := os.Lstat(formula.FrozenName(file)); err != nil {
					alone <- file
					return
				}
			}
			select {
			case <-ended:
				return
			default:
			}
		}
	}()
	began := work(t, children, "began")
	close(ended)
	if file, ok := <-alone; ok {
		t.Errorf("%s was there without its frozen record", file)
	}
	given := map[string]bool{}
	for _, code := range began {
		if given[code] {
			t.Errorf("%s was given twice", code)
		}
		given[code] = true
		live := "batches/2026/" + code + ".yaml"
		if b := asBatch(t, live, get(t, folder, live)); b.Code.V != code || !b.Made.Given() {
			t.Errorf("%s is not whole", live)
		}
		frozen := formula.FrozenName(live)
		if f, found, err := formula.ReadFrozen(frozen, []byte(get(t, folder, frozen))); err != nil || len(found) > 0 || len(f.Documents) != 1 {
			t.Errorf("%s: %v, %v", frozen, found, err)
		}
	}
	if all := names(t, folder); len(given) != 2*each || len(all) != 4*each {
		t.Errorf("%d codes and %d files, want %d and %d", len(given), len(all), 2*each, 4*each)
	}
}

// Two processes that add to one record at the same time lose nothing of each other. A record
// is read whole for each addition, so it is a long one only where many processes are killed.
func TestProcessesAdd(t *testing.T) {
	each := 50
	if os.Getenv(killRounds) != "" {
		each = 200
	}
	if folder, ok := inChild(t); ok {
		for i := range each {
			mark := fmt.Sprintf("%s.%d", os.Getenv("REGISTER_TEST_NAME"), i)
			if _, err := register.Add(folder, recordFile, on(t, today), entry("events", "date", "2027-01-20", "what", "sold", "cut", "bar", "count", "1", "ref", mark)); err != nil {
				t.Fatal(err)
			}
			fmt.Println("added", mark)
		}
		return
	}
	folder := t.TempDir()
	put(t, folder, recordFile, strings.Replace(sound, "bar: 12", fmt.Sprintf("bar: %d", 2+2*each), 1))
	marks := work(t, startChildren(t, folder, 2), "added")
	b := asBatch(t, recordFile, get(t, folder, recordFile))
	there := map[string]bool{}
	for _, e := range b.Events {
		there[e.Ref.V] = true
	}
	for _, mark := range marks {
		if !there[mark] {
			t.Errorf("%s was lost", mark)
		}
	}
	if s := register.StockOf(b)[0]; len(marks) != 2*each || len(b.Events) != 1+2*each || s.OnHand != 0 {
		t.Errorf("%d were added, there are %d, and %+v", len(marks), len(b.Events), s)
	}
	if _, err := register.Add(folder, recordFile, on(t, today), entry("events", "date", "2027-01-20", "what", "sold", "cut", "bar", "count", "1")); err == nil {
		t.Error("one more was sold than there were")
	}
}

// often gives how many processes are killed.
func often(t *testing.T) int {
	rounds := 12
	if text := os.Getenv(killRounds); text != "" {
		var err error
		if rounds, err = strconv.Atoi(text); err != nil || rounds < 1 {
			t.Fatalf("%s is %q, want how many processes are killed", killRounds, text)
		}
	}
	return rounds
}

// killed kills a child at another moment of its work each round, and gives the last number
// that it said after "did".
func killed(t *testing.T, folder string, round int) int {
	t.Helper()
	c := startChildren(t, folder, 1)[0]
	c.in.Close()
	done, took := -1, 0
	hear := func() bool {
		for c.out.Scan() {
			if _, err := fmt.Sscanf(c.out.Text(), "did %d %d", &done, &took); err == nil {
				return true
			}
			t.Log(c.out.Text())
		}
		return false
	}
	for range 1 + round%3 {
		if !hear() {
			t.Fatal("the other process ended")
		}
	}
	// The rounds are spread evenly over the time that the last one took.
	_, part := math.Modf(float64(round) * math.Phi)
	for begun := time.Now(); time.Since(begun) < time.Duration(part*float64(took)); {
	}
	if err := c.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	for hear() {
	}
	return done
}

// A process that is killed while it adds to a record leaves one that can be read, with all
// that it said was done, and at most the next.
func TestKilledWhileItAdds(t *testing.T) {
	if folder, ok := inChild(t); ok {
		for i := 0; ; i++ {
			begun := time.Now()
			if _, err := register.Add(folder, recordFile, on(t, today), entry("events", "date", "2027-01-20", "what", "note", "note", strconv.Itoa(i))); err != nil {
				t.Fatal(err)
			}
			fmt.Println("did", i, time.Since(begun).Nanoseconds())
		}
	}
	for round := range often(t) {
		folder := t.TempDir()
		put(t, folder, recordFile, sound)
		done := killed(t, folder, round)
		b := asBatch(t, recordFile, get(t, folder, recordFile))
		if n := len(b.Events) - 1; n != done+1 && n != done+2 {
			t.Errorf("round %d: %d events, and %d were done", round, n, done+1)
		}
		for i, e := range b.Events[1:] {
			if e.Note.V != strconv.Itoa(i) {
				t.Errorf("round %d: the event %d is %q", round, i, e.Note.V)
			}
		}
		if _, err := register.Add(folder, recordFile, on(t, today), entry("events", "date", "2027-01-20", "what", "note")); err != nil {
			t.Errorf("round %d: who comes after: %v", round, err)
		}
	}
}

// A process that is killed while it begins batches leaves no live file without a frozen one,
// and at most one frozen without a live one, which is told.
func TestKilledWhileItBegins(t *testing.T) {
	form := codes(t, "codes: {pattern: YYDDD-NNNN}\n")
	if folder, ok := inChild(t); ok {
		for i := 0; ; i++ {
			begun := time.Now()
			begin(t, folder, form, startOfBars(t))
			fmt.Println("did", i, time.Since(begun).Nanoseconds())
		}
	}
	for round := range often(t) {
		folder := t.TempDir()
		done := killed(t, folder, round)
		live, frozen := 0, 0
		for _, file := range names(t, folder) {
			if strings.HasPrefix(filepath.Base(file), ".") {
				continue // of the writer that was killed
			}
			if formula.IsFrozen(file) {
				frozen++
				if _, found, err := formula.ReadFrozen(file, []byte(get(t, folder, file))); err != nil || len(found) > 0 {
					t.Errorf("round %d: %v, %v", round, found, err)
				}
				continue
			}
			live++
			asBatch(t, file, get(t, folder, file))
			if _, err := os.Stat(filepath.Join(folder, formula.FrozenName(file))); errors.Is(err, fs.ErrNotExist) {
				t.Errorf("round %d: %s stands alone", round, file)
			}
		}
		if live != done+1 && live != done+2 || frozen != live && frozen != live+1 {
			t.Errorf("round %d: %d live and %d frozen, of %d", round, live, frozen, done+1)
		}
		x := openIndex(t, folder, t.TempDir())
		if found, err := x.Faults(); err != nil || len(found) != frozen-live {
			t.Errorf("round %d: %v, %v", round, found, err)
		}
		closing(t, x)
		begin(t, folder, form, startOfBars(t))
	}
}
