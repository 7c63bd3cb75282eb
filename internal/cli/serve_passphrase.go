package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"

	"velamen/internal/store"
	"velamen/internal/web"
)

// setPassphrase keeps the hash of a new passphrase, which is read from the
// terminal or from standard input. It is never an argument: those are seen by
// every program on the machine.
func setPassphrase(r *run, kept *store.Store) error {
	lines := bufio.NewReader(r.in)
	ask := func(question string) (string, error) {
		fmt.Fprint(r.err, question)
		text, err := lines.ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return "", failed("reading the passphrase", err)
		}
		return strings.TrimRight(text, "\r\n"), nil
	}
	var text string
	var err error
	if terminal(r.in) {
		defer quiet(r)()
		if text, err = ask("New passphrase (four words that do not belong together do well): "); err != nil {
			return err
		}
		again, err := ask("\nOnce more: ")
		if err != nil {
			return err
		}
		fmt.Fprintln(r.err)
		if again != text {
			return errors.New("the two differ; nothing was changed")
		}
	} else if text, err = ask(""); err != nil {
		return err
	}
	hash, err := web.HashPassphrase(text)
	if err != nil {
		return err
	}
	if err := kept.SetPassphraseHash(r.ctx, hash); err != nil {
		return failed("keeping the passphrase", err)
	}
	_, err = fmt.Fprintln(r.out, "The passphrase is set. Everybody who was signed in has to sign in anew.")
	return err
}

// terminal reports whether a person types.
func terminal(in io.Reader) bool {
	f, ok := in.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// quiet keeps what is typed from being shown, where the terminal can, and
// returns how to undo it.
func quiet(r *run) func() {
	switchEcho := func(how string) error {
		stty := exec.CommandContext(r.ctx, "stty", how)
		stty.Stdin = r.in
		return stty.Run()
	}
	if switchEcho("-echo") != nil {
		fmt.Fprintln(r.err, "What you type will be seen on the screen.")
		return func() {}
	}
	return func() {
		_ = switchEcho("echo") // nothing else can be done about it
	}
}
