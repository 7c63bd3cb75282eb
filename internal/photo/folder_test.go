package photo_test

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/photo"
)

func openFolder(tb testing.TB) (*photo.Folder, string) {
	tb.Helper()
	at := filepath.Join(tb.TempDir(), "pictures")
	f, err := photo.OpenFolder(at)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		if err := f.Close(); err != nil {
			tb.Error(err)
		}
	})
	return f, at
}

func put(tb testing.TB, f *photo.Folder, content string) string {
	tb.Helper()
	hash, err := f.Put([]byte(content))
	if err != nil {
		tb.Fatal(err)
	}
	return hash
}

// SHA-256 of "abc": FIPS 180-4, example of NIST (from memory).
const hashOfABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

func TestFilesAreNamedByTheirContent(t *testing.T) {
	f, at := openFolder(t)
	if hash := put(t, f, "abc"); hash != hashOfABC {
		t.Errorf("stored as %s", hash)
	}
	content, err := os.ReadFile(filepath.Join(at, "ba", hashOfABC))
	if err != nil || string(content) != "abc" {
		t.Errorf("the file holds %q (%v)", content, err)
	}
}

func TestWhatIsPutInComesOut(t *testing.T) {
	f, _ := openFolder(t)
	stored := map[string][]byte{}
	rapid.Check(t, func(t *rapid.T) {
		content := rapid.SliceOf(rapid.Byte()).Draw(t, "content")
		for range 2 {
			hash, err := f.Put(content)
			if err != nil {
				t.Fatal(err)
			}
			stored[hash] = content
		}
	})
	var hashes []string
	for hash, err := range f.Hashes() {
		if err != nil {
			t.Fatal(err)
		}
		hashes = append(hashes, hash)
		content, err := f.Get(hash)
		if err != nil || !bytes.Equal(content, stored[hash]) {
			t.Errorf("%s comes out otherwise (%v)", hash, err)
		}
	}
	if len(hashes) != len(stored) || !slices.IsSorted(hashes) {
		t.Errorf("%d files are listed of %d", len(hashes), len(stored))
	}
}

func TestDamageIsFoundAndHealed(t *testing.T) {
	f, at := openFolder(t)
	hash := put(t, f, "abc")
	file := filepath.Join(at, hash[:2], hash)
	for name, content := range map[string]string{"changed": "abd", "cut short": "ab", "emptied": "", "longer": "abcabc"} {
		if err := os.WriteFile(file, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := f.Get(hash)
		var damage *photo.DamagedFile
		if !errors.As(err, &damage) || damage.Hash != hash || damage.Found != photo.Hash([]byte(content)) || damage.Size != len(content) {
			t.Errorf("%s: %v", name, err)
		}
		put(t, f, "abc")
		if content, err := f.Get(hash); err != nil || string(content) != "abc" {
			t.Errorf("%s, after putting it in again: %q (%v)", name, content, err)
		}
	}
}

func TestOnlyHashesAreNames(t *testing.T) {
	f, at := openFolder(t)
	put(t, f, "abc")
	if err := os.WriteFile(filepath.Join(at, "..", "outside"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{
		"", ".", "..", "/", "../outside", "ba/" + hashOfABC, "../pictures/ba/" + hashOfABC,
		hashOfABC[:63], hashOfABC + "0", strings.ToUpper(hashOfABC), hashOfABC[:63] + "g", hashOfABC[:63] + "/",
		"../" + hashOfABC[3:], hashOfABC[:61] + "/..", hashOfABC[:63] + "\x00", " " + hashOfABC[1:], hashOfABC[:62] + "é",
		strings.Repeat("../", 21) + "x", strings.Repeat("..", 32), `..\` + hashOfABC[3:],
	} {
		if _, err := f.Get(name); !errors.Is(err, photo.ErrNotAHash) {
			t.Errorf("%q: %v", name, err)
		}
		if _, err := f.Record(name); !errors.Is(err, photo.ErrNotAHash) {
			t.Errorf("record %q: %v", name, err)
		}
	}
	missing := strings.Repeat("0", 64)
	if _, err := f.Get(missing); !errors.Is(err, photo.ErrMissing) || !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing file: %v", err)
	}
}

// A link that somebody laid in the folder does not lead out of it.
func TestLinksLeadNowhere(t *testing.T) {
	f, at := openFolder(t)
	outside := filepath.Join(at, "..", "outside")
	if err := os.MkdirAll(filepath.Join(outside, "ba"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(outside, "ba", hashOfABC), []byte("abc"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(outside, "ba"), filepath.Join(at, "ba")); err != nil {
		t.Skip(err)
	}
	if content, err := f.Get(hashOfABC); err == nil {
		t.Errorf("read %q from outside", content)
	}
	for hash, err := range f.Hashes() {
		t.Errorf("listed %s from outside (%v)", hash, err)
	}
}

func TestAFailedPutLeavesNothing(t *testing.T) {
	f, at := openFolder(t)
	// The drawer cannot be made, because a file has its name.
	if err := os.WriteFile(filepath.Join(at, "ba"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Put([]byte("abc")); err == nil {
		t.Error("stored without a place to store it")
	}
	if err := os.Remove(filepath.Join(at, "ba")); err != nil {
		t.Fatal(err)
	}
	// The name is taken by a folder, so that the finished file cannot have it.
	if err := os.MkdirAll(filepath.Join(at, "ba", hashOfABC, "x"), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Put([]byte("abc")); err == nil {
		t.Error("stored under a name that is taken")
	}
	names, err := os.ReadDir(filepath.Join(at, "ba"))
	if err != nil || len(names) != 1 {
		t.Errorf("left behind: %v (%v)", names, err)
	}
}

func TestUnfinishedFilesAreNotListed(t *testing.T) {
	f, at := openFolder(t)
	hash := put(t, f, "abc")
	for _, name := range []string{"ba/.UNFINISHED", "ba/" + strings.Repeat("0", 64), "README", "ba/note.txt"} {
		if err := os.WriteFile(filepath.Join(at, filepath.FromSlash(name)), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var hashes []string
	for hash, err := range f.Hashes() {
		if err != nil {
			t.Fatal(err)
		}
		hashes = append(hashes, hash)
	}
	if !slices.Equal(hashes, []string{hash}) {
		t.Errorf("listed: %v", hashes)
	}
}

func TestManyHandsAtOnce(t *testing.T) {
	f, _ := openFolder(t)
	content := bytes.Repeat([]byte("velamen"), 10_000)
	var wait sync.WaitGroup
	for range 16 {
		wait.Go(func() {
			hash, err := f.Put(content)
			if err != nil {
				t.Error(err)
				return
			}
			if got, err := f.Get(hash); err != nil || !bytes.Equal(got, content) {
				t.Errorf("read back %d bytes (%v)", len(got), err)
			}
		})
	}
	wait.Wait()
}

func TestKeepingAPicture(t *testing.T) {
	f, _ := openFolder(t)
	p := accept(t, read(t, "testdata/bench/progressive.jpg"))
	count := func() (n int) {
		for _, err := range f.Hashes() {
			if err != nil {
				t.Fatal(err)
			}
			n++
		}
		return n
	}
	for _, original := range []bool{false, true} {
		hash, err := f.Keep(p, original)
		if err != nil {
			t.Fatal(err)
		}
		again, err := f.Keep(p, original)
		if err != nil || again != hash {
			t.Errorf("kept again as %s, first %s (%v)", again, hash, err)
		}
		record, err := f.Record(hash)
		if err != nil {
			t.Fatal(err)
		}
		want := photo.Record{View: stored(p.View), Thumbnail: stored(p.Thumbnail), Taken: record.Taken}
		if original {
			kept := stored(p.Original)
			want.Original = &kept
		}
		if diff := cmp.Diff(want, record); diff != "" {
			t.Errorf("record (-want +got):\n%s", diff)
		}
		if !record.Taken.At.Equal(p.Taken.At) || !record.Taken.Zoned {
			t.Errorf("taken %v, want %v", record.Taken, p.Taken)
		}
		if content, err := f.Get(record.View.Hash); err != nil || !bytes.Equal(content, p.View.Bytes) {
			t.Errorf("the copy for viewing comes out otherwise (%v)", err)
		}
		if _, err := f.Get(p.Original.Hash); errors.Is(err, photo.ErrMissing) == original {
			t.Errorf("original asked for: %v, stored: %v", original, err)
		}
	}
	if n := count(); n != 5 { // two copies, one original, two records
		t.Errorf("%d files", n)
	}
	for name, hash := range map[string]string{"a picture": p.View.Hash, "other JSON": put(t, f, "{}"), "text": put(t, f, "abc")} {
		if _, err := f.Record(hash); !errors.Is(err, photo.ErrNotARecord) {
			t.Errorf("%s read as a record: %v", name, err)
		}
	}
}

func stored(p photo.Print) photo.Stored {
	return photo.Stored{Hash: p.Hash, MediaType: p.MediaType, Width: p.Width, Height: p.Height, Bytes: len(p.Bytes)}
}
