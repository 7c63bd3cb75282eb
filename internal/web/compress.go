package web

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strings"
)

// smallest is the size below which packing saves no packet on the way.
const smallest = 1200

// packed returns content packed with gzip, or nothing where that saves little.
func packed(content []byte) []byte {
	if len(content) < smallest {
		return nil
	}
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	_, err := w.Write(content)
	if err == nil {
		err = w.Close()
	}
	if err != nil || out.Len() >= len(content) {
		return nil
	}
	return out.Bytes()
}

// takesPacked reports whether the browser unpacks gzip.
func takesPacked(r *http.Request) bool {
	for one := range strings.SplitSeq(r.Header.Get("Accept-Encoding"), ",") {
		name, weight, _ := strings.Cut(strings.TrimSpace(one), ";")
		if strings.EqualFold(name, "gzip") && strings.ReplaceAll(weight, " ", "") != "q=0" {
			return true
		}
	}
	return false
}

// choosePacked returns the content to send, packed if it can be and the browser
// takes it, and says so in the header. No page holds a secret beside what was
// sent to it, so its length after packing gives nothing away.
func choosePacked(w http.ResponseWriter, r *http.Request, content, packed []byte) []byte {
	if packed == nil {
		return content
	}
	w.Header().Add("Vary", "Accept-Encoding")
	if !takesPacked(r) {
		return content
	}
	w.Header().Set("Content-Encoding", "gzip")
	return packed
}
