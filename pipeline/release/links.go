package release

import (
	"fmt"
	"html"
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
			text, err := os.ReadFile(name) // #nosec G122 -- pages that this run wrote itself
			if err != nil {
				return err
			}
			page = linksOf(string(text))
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

// linksOf finds them. Our own templates write every attribute in double quotes, and a double quote in a text as &#34;.
func linksOf(text string) pageLinks {
	links, places := map[string]bool{}, map[string]bool{}
	addValues(links, text, `href="`)
	addValues(links, text, `src="`)
	addValues(places, text, ` id="`)
	return pageLinks{links, places}
}

// addValues adds the values that stand between begin and the next double quote.
func addValues(values map[string]bool, text, begin string) {
	for {
		_, rest, found := strings.Cut(text, begin)
		if !found {
			return
		}
		value, rest, _ := strings.Cut(rest, `"`)
		if value = html.UnescapeString(value); !values[value] {
			values[strings.Clone(value)] = true // the page's text need not stay
		}
		text = rest
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
