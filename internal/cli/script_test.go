package cli

import (
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// scriptDay is the day on which the scripts run.
func scriptDay() time.Time { return time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC) }

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"velamen": func() {
			os.Exit(Run(context.Background(), os.Args[1:], Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, scriptDay))
		},
	})
}

// The scripts use the program as a person does. Beside testscript's own
// commands they know:
//
//	refused TEXT ARGUMENT...    velamen exits with 2, says TEXT, and prints nothing to stdout
//	fails TEXT ARGUMENT...      the same with exit code 1
//	near PATH WANT TOLERANCE    a number in the JSON on stdout; PATH such as room.days.0.ec
//	json                        stdout is one JSON value
//	wellformed FILE             the file is XML from beginning to end
//
// and the condition [root], for who may write anywhere.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"refused":    ends(exitBadInput),
			"fails":      ends(exitFailed),
			"near":       near,
			"json":       validJSON,
			"wellformed": wellFormed,
		},
		Condition: func(name string) (bool, error) {
			if name == "root" {
				return os.Geteuid() == 0, nil
			}
			return false, errors.New("unknown condition " + name)
		},
	})
}

func plain(ts *testscript.TestScript, neg bool, args []string, count int, usage string) {
	if neg {
		ts.Fatalf("%s has no negation", strings.Fields(usage)[0])
	}
	if len(args) < count {
		ts.Fatalf("usage: %s", usage)
	}
}

// ends returns the command that runs the program and wants an exit code, a text
// on stderr, and nothing on stdout.
func ends(code int) func(ts *testscript.TestScript, neg bool, args []string) {
	return func(ts *testscript.TestScript, neg bool, args []string) {
		plain(ts, neg, args, 2, "refused TEXT ARGUMENT...")
		err := ts.Exec("velamen", args[1:]...)
		var exit *exec.ExitError
		switch problems := ts.ReadFile("stderr"); {
		case !errors.As(err, &exit):
			ts.Fatalf("it ended well: %v", err)
		case exit.ExitCode() != code:
			ts.Fatalf("exit code %d, want %d; it said: %s", exit.ExitCode(), code, problems)
		case ts.ReadFile("stdout") != "":
			ts.Fatalf("printed on stdout: %s", ts.ReadFile("stdout"))
		case !strings.Contains(problems, args[0]):
			ts.Fatalf("it said %q, want something with %q", problems, args[0])
		}
	}
}

func near(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 3, "near PATH WANT TOLERANCE")
	var value any
	if err := json.Unmarshal([]byte(ts.ReadFile("stdout")), &value); err != nil {
		ts.Fatalf("stdout is not JSON: %v", err)
	}
	for step := range strings.SplitSeq(args[0], ".") {
		switch v := value.(type) {
		case map[string]any:
			inside, there := v[step]
			if !there {
				ts.Fatalf("%s: there is no %q", args[0], step)
			}
			value = inside
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i < 0 || i >= len(v) {
				ts.Fatalf("%s: %q is not one of %d rows", args[0], step, len(v))
			}
			value = v[i]
		default:
			ts.Fatalf("%s: nothing lies below %v", args[0], v)
		}
	}
	got, isNumber := value.(float64)
	want, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	tolerance, err := strconv.ParseFloat(args[2], 64)
	ts.Check(err)
	if !isNumber || !(math.Abs(got-want) <= tolerance) {
		ts.Fatalf("%s is %v, want %v within %v", args[0], value, want, tolerance)
	}
}

func validJSON(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 0, "json")
	if text := ts.ReadFile("stdout"); !json.Valid([]byte(text)) {
		ts.Fatalf("not JSON: %s", text)
	}
}

func wellFormed(ts *testscript.TestScript, neg bool, args []string) {
	plain(ts, neg, args, 1, "wellformed FILE")
	decoder := xml.NewDecoder(strings.NewReader(ts.ReadFile(args[0])))
	for {
		_, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			ts.Fatalf("%s is not well-formed: %v", args[0], err)
		}
	}
}
