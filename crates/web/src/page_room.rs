//! The room that a device has for the drawing of a step: its page says so in a cookie, so that drawings are laid out at their
//! true size before they are sent.

use core::convert::Infallible;

use app::bench::DrawingRoom;
use axum::extract::FromRequestParts;
use axum::http::header;
use axum::http::request::Parts;

/// Name of the cookie: `room=348x250`, px of the page.
const ROOM_COOKIE: &str = "room";

/// The room of the page that asks; that of a phone where it does not say.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PageRoom(pub(crate) DrawingRoom);

impl<S: Sync> FromRequestParts<S> for PageRoom {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Self::Rejection> {
        let all = parts.headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let room = all.flat_map(|value| value.split(';')).find_map(|pair| room_of_cookie(pair.trim()));
        Ok(Self(room.unwrap_or_default()))
    }
}

fn room_of_cookie(pair: &str) -> Option<DrawingRoom> {
    let (name, value) = pair.split_once('=')?;
    let (width, height) = value.split_once('x').filter(|_| name == ROOM_COOKIE)?;
    Some(DrawingRoom::of_page(width.parse().ok()?, height.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_no_page_says_is_passed_over() {
        assert_eq!(room_of_cookie("room=348x250"), Some(DrawingRoom { width_px: 348.0, height_px: 250.0 }));
        for odd in
            ["room", "room=", "room=348", "room=-3x9", "room=axb", "other=348x250", "room=9999999999x1"]
        {
            assert_eq!(room_of_cookie(odd), None, "{odd}");
        }
        assert_eq!(
            room_of_cookie("room=1x999999"),
            Some(DrawingRoom { width_px: 120.0, height_px: 2_000.0 })
        );
    }
}
