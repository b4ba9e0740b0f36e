package release

import (
	"bufio"
	"errors"
	"fmt"
	"html"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// BrokenLinks names every link of the pages below root that leads out of the folder, to no file, or to no place in its page.
func BrokenLinks(root string) (broken []string, err error) {
	pages := map[string]pageLinks{}
	err = filepath.WalkDir(root, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		relative, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		page := pageLinks{}
		if strings.HasSuffix(name, ".html") {
			file, err := os.Open(name) // #nosec G122 -- pages that this run wrote itself
			if err != nil {
				return err
			}
			page, err = linksOf(file)
			if err = errors.Join(err, file.Close()); err != nil {
				return err
			}
		}
		pages[filepath.ToSlash(relative)] = page
		return nil
	})
	if err != nil {
		return nil, err
	}
	for name, page := range pages {
		for link := range page.links {
			if fault := followLink(name, link, pages); fault != "" {
				broken = append(broken, fmt.Sprintf("public/%s: link %q %s", name, link, fault))
			}
		}
	}
	return broken, nil
}

// pageLinks are the links of a page and the places in it that links may name, each once.
type pageLinks struct{ links, places map[string]bool }

// linksOf finds them in the page's text, read piece by piece. Our own templates write every attribute in double quotes, and a double quote
// in a text as &#34;.
func linksOf(text io.Reader) (pageLinks, error) {
	found, from, tail := pageLinks{map[string]bool{}, map[string]bool{}}, bufio.NewReader(text), ""
	for {
		piece, err := from.ReadSlice('"')
		if errors.Is(err, bufio.ErrBufferFull) {
			tail = string(piece[len(piece)-len(`href="`):])
			continue
		}
		if errors.Is(err, io.EOF) {
			return found, nil
		}
		if err != nil {
			return found, err
		}
		values := found.links
		switch tail += string(piece); {
		case strings.HasSuffix(tail, `href="`), strings.HasSuffix(tail, `src="`):
		case strings.HasSuffix(tail, ` id="`):
			values = found.places
		default:
			values = nil
		}
		if tail = ""; values != nil {
			value, err := from.ReadString('"')
			if err != nil && !errors.Is(err, io.EOF) {
				return found, err
			}
			values[html.UnescapeString(strings.TrimSuffix(value, `"`))] = true
		}
	}
}

// followLink says what is wrong with a link of page from; "" when it resolves. pages holds every file.
func followLink(from, link string, pages map[string]pageLinks) string {
	target, err := url.Parse(link)
	if err != nil {
		return "is no address"
	}
	if target.Scheme == "data" {
		return ""
	}
	if target.Scheme != "" || target.Host != "" || strings.HasPrefix(target.Path, "/") {
		return "leads out of the folder"
	}
	name := from
	if target.Path != "" {
		name = path.Join(path.Dir(from), target.Path)
	}
	page, isThere := pages[name]
	if !isThere {
		return "leads to no file"
	}
	if target.Fragment != "" && strings.HasSuffix(name, ".html") && !page.places[target.Fragment] {
		return "leads to no place of its page"
	}
	return ""
}
