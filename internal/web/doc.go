// Package web shows the collection as pages and takes entries through forms
// and a small JSON interface.
//
// One file per screen; its template stands under templates with the same name,
// its module, if any, under static/modules. A handler reads the request, calls
// one operation of book, care or plan, and renders a view: a struct whose fields
// are ready to be shown. No rule of growing is decided here.
//
// Every page is complete without JavaScript and every entry is a plain form;
// modules only make them quicker.
//
// Not handled here: where things are kept (see Sessions, Secrets and Photos),
// and the listening and the certificates (see the serve command).
package web
