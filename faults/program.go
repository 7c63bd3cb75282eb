package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"time"
)

// harness is one run of the command.
type harness struct {
	root, work string
	binary     string
	begun      time.Time
	quiet      bool
	made       map[string]string        // templates of collections, by what they hold
	reach      map[string]time.Duration // about how long a command takes
	number     int
}

// newHarness builds the program.
func newHarness(ctx context.Context) (*harness, error) {
	h := &harness{begun: time.Now(), made: map[string]string{}, reach: map[string]time.Duration{}}
	out, err := exec.CommandContext(ctx, "go", "env", "GOMOD").Output()
	gomod := strings.TrimSpace(string(out))
	if err != nil || filepath.Base(gomod) != "go.mod" {
		return nil, fmt.Errorf("run it inside the module, as go run ./faults: %w", err)
	}
	h.root = filepath.Dir(gomod)
	if h.work, err = os.MkdirTemp("", "velamen-faults-"); err != nil {
		return nil, err
	}
	if h.binary, err = h.build(ctx, "velamen", nil, "CGO_ENABLED=0"); err != nil {
		return nil, errors.Join(err, h.close())
	}
	return h, nil
}

func (h *harness) build(ctx context.Context, name string, flags []string, environment ...string) (string, error) {
	to := filepath.Join(h.work, name)
	build := exec.CommandContext(ctx, "go", append(append([]string{"build", "-trimpath", "-o", to}, flags...), "./cmd/velamen")...)
	build.Dir = h.root
	build.Env = append(os.Environ(), environment...)
	if out, err := build.CombinedOutput(); err != nil {
		return "", fmt.Errorf("building velamen: %w\n%s", err, out)
	}
	return to, nil
}

func (h *harness) close() error { return os.RemoveAll(h.work) }

// say tells on standard error how far the run is.
func (h *harness) say(format string, args ...any) {
	if !h.quiet {
		fmt.Fprintf(os.Stderr, "faults: %4.0f s  %s\n", time.Since(h.begun).Seconds(), fmt.Sprintf(format, args...))
	}
}

// folder makes an empty folder for one run; the caller removes it.
func (h *harness) folder() (string, func(), error) {
	h.number++
	path := filepath.Join(h.work, fmt.Sprintf("run%d", h.number))
	return path, func() { os.RemoveAll(path) }, os.Mkdir(path, 0o700)
}

// said is what the program printed and how it ended.
type said struct {
	out, err string
	code     int
}

// run runs one command of the program to its end.
func (h *harness) run(ctx context.Context, args ...string) (said, error) {
	var s said
	var out, problems bytes.Buffer
	command := exec.CommandContext(ctx, h.binary, args...)
	command.Stdout, command.Stderr = &out, &problems
	err := command.Run()
	s.out, s.err = out.String(), problems.String()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		s.code, err = exit.ExitCode(), nil
	}
	if strings.Contains(s.err, "panic:") || strings.Contains(s.err, "goroutine ") {
		err = fmt.Errorf("%s crashed: %s", strings.Join(args, " "), s.err)
	}
	return s, err
}

// must runs a command that has to end well.
func (h *harness) must(ctx context.Context, args ...string) error {
	s, err := h.run(ctx, args...)
	if err == nil && s.code != 0 {
		err = fmt.Errorf("velamen %s ended with %d: %s", args[0], s.code, strings.TrimSpace(s.err))
	}
	return err
}

// killed runs a command and kills it at a moment between its start and about its
// end, as long as such commands took before. It reports whether it was still at
// work then.
func (h *harness) killed(ctx context.Context, rnd *rand.Rand, args ...string) (struck bool, s said, err error) {
	reach := h.reach[args[0]]
	if reach == 0 {
		reach = 250 * time.Millisecond
	}
	begun := time.Now()
	defer func() {
		if struck {
			h.reach[args[0]] = reach * 11 / 10
		} else {
			h.reach[args[0]] = time.Since(begun)
		}
	}()
	after := moment(rnd, reach)
	var problems bytes.Buffer
	command := exec.CommandContext(ctx, h.binary, args...)
	command.Stderr = &problems
	if err := command.Start(); err != nil {
		return false, s, err
	}
	timer := time.AfterFunc(after, func() { _ = command.Process.Kill() })
	err = command.Wait()
	timer.Stop()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		s.code, err = exit.ExitCode(), nil
	}
	s.err = problems.String()
	return s.code == -1, s, err
}

// server is the program while it serves a collection.
type server struct {
	command *exec.Cmd
	address string // http://127.0.0.1:12345/
	ended   chan struct{}

	mu  sync.Mutex
	log []string
}

var addressShown = regexp.MustCompile(`https?://[^ ]+/`)

// errDidNotStart is a server that ended before it answered; what it said follows.
var errDidNotStart = errors.New("the server did not start")

// serve starts the program on a collection and waits until it says where.
func (h *harness) serve(ctx context.Context, file string, environment ...string) (*server, error) {
	return start(exec.CommandContext(ctx, h.binary, "serve", file, "--address", "127.0.0.1:0"), environment...)
}

func start(command *exec.Cmd, environment ...string) (*server, error) {
	s := &server{command: command, ended: make(chan struct{})}
	command.Env = append(os.Environ(), environment...)
	problems, err := command.StderrPipe()
	if err != nil {
		return nil, err
	}
	if err := command.Start(); err != nil {
		return nil, err
	}
	found := make(chan string, 1)
	go func() {
		defer close(s.ended)
		lines := bufio.NewScanner(problems)
		lines.Buffer(nil, 1<<20)
		for lines.Scan() {
			s.mu.Lock()
			s.log = append(s.log, lines.Text())
			s.mu.Unlock()
			if address := addressShown.FindString(lines.Text()); address != "" && strings.Contains(lines.Text(), "Ctrl-C") {
				select {
				case found <- address:
				default:
				}
			}
		}
		_ = command.Wait()
	}()
	select {
	case s.address = <-found:
		return s, nil
	case <-s.ended:
		return s, fmt.Errorf("%w: %s", errDidNotStart, s.text())
	case <-time.After(time.Minute):
		s.kill()
		return s, fmt.Errorf("%w within a minute: %s", errDidNotStart, s.text())
	}
}

func (s *server) text() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return strings.Join(s.log, "\n")
}

// kill ends the server without notice.
func (s *server) kill() {
	_ = s.command.Process.Kill()
	<-s.ended
}

// stop asks the server to end and waits until it has.
func (s *server) stop() error {
	_ = s.command.Process.Signal(os.Interrupt)
	select {
	case <-s.ended:
	case <-time.After(30 * time.Second):
		s.kill()
		return errors.New("the server did not end when asked to")
	}
	if text := s.text(); strings.Contains(text, "panic:") || strings.Contains(text, "DATA RACE") {
		return fmt.Errorf("the server said: %s", text)
	}
	return nil
}
