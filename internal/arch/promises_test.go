package arch

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	promiseRow = regexp.MustCompile(`^\| .+ \| (.+) \|$`)
	namedTest  = regexp.MustCompile("`([a-z0-9/]+)\\.(Test[A-Za-z0-9]+)`")
)

// Every promise names at least one test, and every test it names exists.
func TestPromisesNameTestsThatExist(t *testing.T) {
	text, err := os.ReadFile("../../docs/security.md")
	if err != nil {
		t.Fatal(err)
	}
	promises, sources := 0, map[string]string{}
	for line := range strings.Lines(string(text)) {
		row := promiseRow.FindStringSubmatch(strings.TrimSpace(line))
		if row == nil || row[1] == "shown by" {
			continue
		}
		promises++
		named := namedTest.FindAllStringSubmatch(row[1], -1)
		if len(named) == 0 {
			t.Errorf("no test is named in: %s", line)
		}
		for _, name := range named {
			folder, test := name[1], name[2]
			if sources[folder] == "" {
				files, err := filepath.Glob(filepath.Join("../..", folder, "*_test.go"))
				if err != nil {
					t.Fatal(err)
				}
				for _, file := range files {
					source, err := os.ReadFile(file)
					if err != nil {
						t.Fatal(err)
					}
					sources[folder] += string(source)
				}
			}
			if !strings.Contains(sources[folder], "\nfunc "+test+"(t *testing.T)") {
				t.Errorf("there is no %s in %s", test, folder)
			}
		}
	}
	if promises < 20 {
		t.Errorf("only %d promises were found", promises)
	}
}
