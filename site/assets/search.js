// Searches the index that the page loads beside this script. Every word must stand in an entry's name, kind or detail. The
// words stand in the address as #q=WORDS, so that a link finds the same.
(function () {
    'use strict';
    var most = 60;
    var box = document.getElementById('search'), query = document.getElementById('query');
    var count = document.getElementById('search-count'), results = document.getElementById('search-results');

    // plain is small letters without accents.
    function plain(text) { return text.normalize('NFD').replace(/[\u0300-\u036f]/g, '').toLowerCase(); }

    var entries = searchIndex.map(function (entry) {
        return { kind: entry[0], name: entry[1], detail: entry[2], href: entry[3], plainName: plain(entry[1]), all: plain(entry.slice(0, 3).join(' ')) };
    });

    // rank orders entries: its whole name, the begin of its name, the begin of a word, a name, anything else.
    function rank(entry, asked) {
        var at = entry.plainName.indexOf(asked);
        if (entry.plainName === asked || entry.plainName.split(' ')[0] === asked) { return 0; }
        if (at === 0) { return 1; }
        if (at > 0 && /[^a-z0-9]/.test(entry.plainName.charAt(at - 1))) { return 2; }
        return at > 0 ? 3 : 4;
    }

    function found(asked) {
        var words = asked.split(/\s+/);
        return entries.filter(function (entry) {
            return words.every(function (word) { return entry.all.indexOf(word) >= 0; });
        }).map(function (entry, i) {
            return { entry: entry, rank: rank(entry, asked), at: i };
        }).sort(function (x, y) { return x.rank - y.rank || x.at - y.at; });
    }

    function item(one) {
        var li = document.createElement('li'), link = document.createElement('a'), name = document.createElement('bdi'), rest = document.createElement('span');
        name.textContent = one.entry.name;
        link.href = one.entry.href;
        link.appendChild(name);
        rest.className = 'note';
        rest.textContent = ' ' + one.entry.kind + (one.entry.detail ? ', ' + one.entry.detail : '');
        li.appendChild(link);
        li.appendChild(rest);
        return li;
    }

    function show() {
        var asked = plain(query.value.trim()), list = asked ? found(asked) : [];
        results.textContent = '';
        list.slice(0, most).forEach(function (one) { results.appendChild(item(one)); });
        count.textContent = !asked ? '' : list.length === 0 ? 'Nothing found.' :
            (list.length > most ? 'The first ' + most + ' of ' + list.length : list.length) + ' found.';
    }

    function take() {
        var match = /^#q=(.*)$/.exec(location.hash);
        try {
            query.value = match ? decodeURIComponent(match[1]) : '';
        } catch (fault) {
            query.value = '';
        }
        show();
    }

    query.addEventListener('input', function () {
        var text = query.value.trim();
        history.replaceState(null, '', location.href.split('#')[0] + (text ? '#q=' + encodeURIComponent(text) : ''));
        show();
    });
    window.addEventListener('hashchange', take);
    box.hidden = false;
    take();
    if (!location.hash) { query.focus(); }
})();
