"""All pages: nothing that can be opened is left out, and each sees what is for him."""

from __future__ import annotations

import re

from desk_reader import Reader, text_of
from house import PEOPLE, House

from paryield.desk.pages.contents import CLUB, ELSEWHERE, GOLFER
from paryield.desk.rights import RIGHTS


def test_every_page_is_listed_with_what_it_is_for():
    listed = [one.route for one in (*CLUB, *GOLFER)]
    assert len(listed) == len(set(listed))
    assert set(listed) | set(ELSEWHERE) == {route for route in RIGHTS if route.startswith("GET ")}
    assert all(one.title and one.what for one in (*CLUB, *GOLFER))


def test_each_is_shown_what_he_may_open_and_each_link_opens(shared_house: House):
    for short in PEOPLE:
        guest = shared_house.guest(short)
        page = guest.get("/contents").text
        section = page[page.index("<h1>All pages</h1>") : page.index("</main>")]
        links = re.findall(r'href="([^"]+)"', section)
        assert links
        for link in links:
            if not link.endswith((".pdf", ".ics")):
                assert guest.get(link).status_code in (200, 400, 409), (short, link)


def test_the_owner_sees_all_pages_and_every_page_leads_there(shared_reader: Reader):
    page = shared_reader.get("/contents").text
    for one in CLUB:
        own_account = one.title in ("Account", "Password")
        assert (f'href="{one.address()}"' in page) != own_account
    assert text_of(page).count("My week on paper") == 6
    assert '<a href="/contents">All pages</a>' in shared_reader.get("/log").text
