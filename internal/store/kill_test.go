package store_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/internal/store/storetest"
)

const killedVariable = "VELAMEN_TEST_APPEND_TO"

func TestMain(m *testing.M) {
	if path := os.Getenv(killedVariable); path != "" {
		if err := appendForever(path, os.Stdout); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// appendForever adds bursts of entries and acknowledges each burst once it was
// added, until it is killed. A burst is resent now and then, as a browser does
// whose answer got lost.
func appendForever(path string, acknowledge io.Writer) error {
	ctx := context.Background()
	s, err := store.Open(ctx, path, time.Now)
	if err != nil {
		return err
	}
	n, err := s.Count(ctx)
	if err != nil {
		return err
	}
	next := n // numbers above the count may be gaps, never repeats
	for {
		var burst []care.Entry
		for range 1 + rand.IntN(20) {
			burst = append(burst, noteOf(next))
			next++
		}
		for i := range burst {
			burst[i].By = fmt.Sprintf("burst %d of %d", next, len(burst))
		}
		for range 1 + rand.IntN(2) {
			if _, err := s.Append(ctx, burst); err != nil {
				return err
			}
		}
		fmt.Fprintf(acknowledge, "%d %d\n", next-len(burst), next)
	}
}

func noteOf(n int) care.Entry {
	return care.Entry{
		ID: storetest.ID(n), At: storetest.Start.Add(time.Duration(n) * time.Second), Kind: care.Noted, Plant: storetest.PlantID(n % 7),
		Detail: care.Detail{Note: "entry " + strconv.Itoa(n)},
	}
}

// A process is killed in the middle of its work, again and again: every entry
// that it acknowledged is there once, every burst is there as a whole or not at all,
// and the file is sound. (A killed process leaves what it gave to the system; that a commit
// reaches the disk is SQLite's promise under synchronous=FULL.)
func TestKillingLosesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "orchids.velamen")
	s, err := store.Create(t.Context(), path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	acknowledged := map[int]bool{}
	midway := 0
	const rounds = 25
	for round := range rounds {
		before := len(acknowledged)
		// Every other one is killed wherever it is, which may be while it opens the
		// file; the rest, however slow the machine, in the midst of adding.
		appendUntilKilled(t, path, time.Duration(20+rand.IntN(120))*time.Millisecond, round%2 == 0, acknowledged)
		if len(acknowledged) > before {
			midway++
		}
		checkAcknowledged(t, path, acknowledged)
	}
	if midway < rounds/2 {
		t.Errorf("only %d of %d processes lived long enough to add anything: the test tests little", midway, rounds)
	}
	t.Logf("%d entries acknowledged by %d processes", len(acknowledged), midway)
}

// appendUntilKilled runs a process that appends, kills it after a while, counted
// from its first acknowledgement or from its start, and notes what it had
// acknowledged.
func appendUntilKilled(t *testing.T, path string, after time.Duration, fromFirst bool, acknowledged map[int]bool) {
	t.Helper()
	helper := exec.Command(os.Args[0])
	helper.Env = append(os.Environ(), killedVariable+"="+path)
	var complaints strings.Builder
	helper.Stderr = &complaints
	out, err := helper.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := helper.Start(); err != nil {
		t.Fatal(err)
	}
	kill := func() { _ = helper.Process.Kill() }
	patience := after
	if fromFirst {
		patience = 5 * time.Minute
	}
	timer := time.AfterFunc(patience, kill)
	defer timer.Stop()
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if fromFirst {
			fromFirst = false
			timer.Reset(after)
		}
		var from, until int
		// A line that was cut by the kill acknowledges nothing.
		if n, err := fmt.Sscanf(lines.Text()+"\n", "%d %d\n", &from, &until); n != 2 || err != nil || until <= from {
			continue
		}
		for n := from; n < until; n++ {
			acknowledged[n] = true
		}
	}
	_ = helper.Wait()
	if complaints.Len() > 0 {
		t.Fatalf("the process failed by itself: %s", complaints.String())
	}
}

func checkAcknowledged(t *testing.T, path string, acknowledged map[int]bool) {
	t.Helper()
	r, err := store.Verify(t.Context(), path, nil)
	if err != nil || !r.Sound() {
		t.Fatalf("after a kill: %+v, %v", r, err)
	}
	s, err := store.Open(t.Context(), path, time.Now) // the lock died with the process
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	there, bursts := map[string]int{}, map[string]int{}
	for e, err := range s.All(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		there[e.ID]++
		bursts[e.By]++
	}
	for burst, have := range bursts {
		var last, size int
		if _, err := fmt.Sscanf(burst, "burst %d of %d", &last, &size); err != nil || have != size {
			t.Fatalf("%s: %d entries are there (%v)", burst, have, err)
		}
	}
	for n := range acknowledged {
		if there[storetest.ID(n)] != 1 {
			t.Fatalf("entry %d was acknowledged and is there %d times", n, there[storetest.ID(n)])
		}
	}
	for id, times := range there {
		if times != 1 {
			t.Fatalf("entry %s is there %d times", id, times)
		}
	}
}
