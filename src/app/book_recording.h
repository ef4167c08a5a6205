// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "acquire/link_recording.h"
#include "app/chunk_sink.h"
#include "store/book.h"
#include "vocab/result.h"

namespace qn {

/// A new recording of these links, with how their bytes are to be read. Links count from 1 in the
/// order given, in the book from 0.
/// errors  those of the book
Result<RecordingId> start_book_recording(Book& book, const NewRecording& head,
                                         const std::vector<LinkDescription>& links);

/// A book that several threads write to, one at a time.
struct SharedBook {
  explicit SharedBook(Book&& opened) : book{std::move(opened)} {}
  std::mutex mutex;
  Book book;
};

/// What somebody does with a book that another has open; what it returns are words.
using UseOfBook = std::function<Result<std::string>(Book&)>;

/// The same with a book that nobody has open.
/// errors  those of Book::open and of `use`
Result<std::string> with_book_at(const std::string& path, const UseOfBook& use);

/// Keeps what links bring in a recording of the book, a stretch for each flush. That a link was
/// opened, or opened again, stands there as a piece of 0 bytes: what came before does not go on.
///
/// later_s  added to all times: the recording goes on after a crash
/// from_s   where the first stretch begins, on the recording's clock; not later_s itself, because
///          the links have been open for a while when it goes on
std::unique_ptr<ChunkSink> book_chunk_sink(std::shared_ptr<SharedBook> book, RecordingId recording,
                                           double later_s, double from_s);

/// A recording of the book as its links brought it, to be decoded.
/// errors  those of the book; BadInput: it does not say how a link is to be read
Result<LinkRecording> book_link_recording(const Book& book, RecordingId recording);

}  // namespace qn
