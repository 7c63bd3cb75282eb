// Package e2e tries the pages as people use them: in a browser, on a phone
// without reception, with the server going away and coming back. It has no
// code, only tests.
//
// The tests need Chromium. Where there is none they are passed over, except on
// the machine that decides whether a change is good (CI=true).
package e2e
